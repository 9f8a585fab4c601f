"""Whether each beat of the ram can lift its water, and whether the counted beats fit the rest."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_of
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.scheme.parts import Ram
from terrain_head.scheme.ram_cycle import RamCycle, cycle_of

_BLOW = OURS.at("the wave's speed times the velocity that is stopped, by g, must reach the lift")
_BEATS = OURS.at("a column of water that starts each beat from rest")


def cycle_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the beat of the ram."""
    ram, found = evidence.layout.ram, cycle_of(evidence.solution)
    if ram is None or found is None:
        return
    yield from _blow_findings(ram, found)
    yield from _beat_findings(ram, found)


def _blow_findings(ram: Ram, found: RamCycle) -> Iterator[Finding]:
    """Hold the velocity that each beat stops against what the delivery head asks.

    Notes
    -----
    A stop where the greatest velocity that the drive flow allows does not raise the head above the
    source; care where the likely one does not raise the whole delivery head.
    """
    drive, cycle = found.drive, found.cycle
    likely, most = middle_of(cycle.closing_m_s), middle_of(cycle.closing_most_m_s)
    least, head = middle_of(cycle.least_closing_m_s), middle_of(drive.head_m)
    wave = middle_of(drive.wave_m_s)
    if likely is None or most is None or least is None or head is None or wave is None:
        return
    enough = STANDARD_GRAVITY_M_S2 * head / wave
    never = most < least
    if never or likely < enough:
        yield Finding(
            kind="hammer-below-lift",
            severity="stop" if never else "care",
            value=most if never else likely,
            limit=least if never else enough,
            unit="m/s",
            values=known(wave_m_s=wave, head_m=head),
            texts={"spec": ram.drive},
            source=_BLOW,
            where=Where(pipe=ram.drive),
        )


def _beat_findings(ram: Ram, found: RamCycle) -> Iterator[Finding]:
    quickest = middle_of(found.quickest_hz)
    if ram.beats_hz is None or found.share_origin == "beats" or quickest is None:
        return
    yield Finding(
        kind="beats-do-not-fit",
        severity="care",
        value=1 / ram.beats_hz.value,
        limit=1 / quickest,
        unit="s",
        values=known(
            beats_hz=ram.beats_hz.value,
            quickest_hz=quickest,
            flow_m3_s=middle_of(found.drive.flow_m3_s),
        ),
        source=_BEATS,
        where=Where(place=ram.place),
    )
