"""The tables of the report about the ram's beat and its blow."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.report.speech import Speech
from terrain_head.report.table import UNKNOWN, Table
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.ram_cycle import RamCycle, cycle_of
from terrain_head.scheme.ram_variants import Changed, Variant, variants_of

_GUIDE = (
    "Worked out for a column of water that starts each beat from rest; no test rams stand behind "
    "it. A real ram beats slower, for its valves take time. Count the beats, write them as beats "
    "in [ram], and they are used."
)
_HELD = (
    "Drive flow, fall and delivery head as they are. Full blow: the pressure in the drive pipe if "
    "the delivery valve sticks. Held back by give: water that a stiff pipe would lift and this one "
    "does not."
)


def cycle_table(answer: Answer) -> Table:
    """Return the beat of one ram: what it moves, how it compares, how hard it strikes."""
    found = cycle_of(answer.solution)
    if found is None:
        return Table(title="The beat of one ram", heads=("", ""), rows=())
    rows = (*_beat_rows(answer, found), *_blow_rows(answer, found))
    return Table(title="The beat of one ram", heads=("", ""), rows=rows, note=_GUIDE)


def variants_table(answer: Answer) -> Table:
    """Return what another drive pipe or waste valve would do to the beat."""
    say = Speech(units=answer.units)
    rows = []
    for one in variants_of(answer.solution):
        velocity = middle_of(one.cycle.closing_m_s)
        efficiency = middle_of(one.cycle.ideal_efficiency)
        stepped = middle_of(one.cycle.stepped_share)
        rows.append(
            (
                _words(one),
                _beats(middle_of(one.cycle.beat.time_s)),
                UNKNOWN if velocity is None else say.say(velocity, "speed"),
                UNKNOWN if efficiency is None else say.share(efficiency),
                _blow(answer, middle_of(one.cycle.hammer_most_m)),
                UNKNOWN if stepped is None else say.share(1 - stepped),
            )
        )
    return Table(
        title="Another drive pipe or waste valve",
        heads=(
            "changed",
            "beats a minute",
            "waste valve shuts at",
            "ideal efficiency",
            "full blow",
            "held back by give",
        ),
        rows=tuple(rows),
        note=_HELD,
    )


def _beat_rows(answer: Answer, found: RamCycle) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    drive, cycle = found.drive, found.cycle
    rows = [("beats a minute, ideal", _beats(middle_of(cycle.beat.time_s)))]
    closing, share = middle_of(cycle.closing_m_s), middle_of(drive.closing_share)
    steady = middle_of(cycle.steady_m_s)
    if closing is not None and share is not None and steady is not None:
        origin = "taken" if found.share_origin == "taken" else "from the counted beats"
        rows += [
            ("waste valve shuts at", f"{say.say(closing, 'speed')}, {share:.2f} of the steady "
                                     f"velocity ({origin})"),
            ("steady velocity, waste valve held open", say.say(steady, "speed")),
        ]  # fmt: skip
    for name, values in (
        ("lifted a beat", found.delivered_m3),
        ("spilled a beat", found.wasted_m3),
    ):
        volume = middle_of(values)
        if volume is not None:
            rows.append((name, _small_volume(volume, answer.units)))
    ideal, factor = middle_of(cycle.ideal_efficiency), middle_of(found.factor)
    if ideal is not None:
        rows.append(("ideal efficiency (Rankine)", say.share(ideal)))
    if factor is not None:
        whence = "measured" if found.factor_origin == "measured" else "by the published table"
        rows.append(
            (
                "what the ram makes of the ideal",
                f"{say.share(factor)}, its efficiency {whence}; not checked on rams in the field",
            )
        )
    return rows


def _blow_rows(answer: Answer, found: RamCycle) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    wave = middle_of(found.drive.wave_m_s)
    if wave is None:
        return [("full blow, delivery valve stuck", "not known: the drive pipe's wall is not")]
    cycle = found.cycle
    stiff = "" if found.wave_origin == "wall" else ", the pipe taken as stiff"
    likely, most = (_blow(answer, middle_of(one)) for one in (cycle.hammer_m, cycle.hammer_most_m))
    rows = [
        ("speed of a pressure wave", _wave(wave, answer.units) + stiff),
        ("full blow, delivery valve stuck", f"likely {likely}, at most {most}"),
    ]
    pipe = None if answer.layout.ram is None else answer.layout.pipes.get(answer.layout.ram.drive)
    rating = None if pipe is None or pipe.spec is None else pipe.spec.rating_pa
    if rating is not None:
        rows.append(("rating of the drive pipe", say.pressure(rating)))
    least = middle_of(cycle.least_closing_m_s)
    if least is not None:
        rows.append(("slowest closing that lifts anything", say.say(least, "speed")))
    return rows


def _blow(answer: Answer, head_m: float | None) -> str:
    if head_m is None:
        return UNKNOWN
    water = Water.at(answer.layout.parts.water_temperature_c)
    return Speech(units=answer.units).pressure(float(water.pressure_pa(head_m)))


def _beats(time_s: float | None) -> str:
    return UNKNOWN if time_s is None else f"{from_si(1 / time_s, '/min'):.0f}"


def _wave(m_s: float, units: UnitSystem) -> str:
    """Say the speed of a pressure wave: nobody knows it nearer than tens."""
    unit = "ft/s" if units.name == "us" else "m/s"
    return f"{round(from_si(m_s, unit), -1):.0f} {unit}"


def _small_volume(m3: float, units: UnitSystem) -> str:
    """Say the water of one beat: millilitres, or gallons to a thousandth."""
    if units.name == "us":
        return f"{from_si(m3, 'gal'):.3f} gal"
    return f"{from_si(m3, 'mL'):.0f} mL"


_WHAT: Mapping[Changed, str] = {
    "nothing": "as it is",
    "length": "times the length",
    "bore": "times the bore",
    "wall": "times the wall",
    "material": "drive pipe of",
    "closing": "of the steady velocity where the waste valve shuts",
}


def _words(variant: Variant) -> str:
    what = _WHAT[variant.changed]
    if variant.changed == "nothing":
        return what
    if variant.changed == "material":
        return f"{what} {variant.material}, SDR 11"
    return f"{variant.times:g} {what}"
