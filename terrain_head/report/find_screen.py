"""The screen of ``terrain-head find sites``: a few sites, best first."""

from __future__ import annotations

from terrain_head.errors import WIDTH
from terrain_head.report.speech import Speech, plain_ascii, wrapped
from terrain_head.search.ranked_sites import SiteAnswer


def sites_screen(answer: SiteAnswer, *, written: str | None = None) -> str:
    """Return the whole screen, plain ASCII, at most 79 columns.

    Parameters
    ----------
    answer
        The sites.
    written
        The map that holds them, None where none was written.
    """
    say = Speech(units=answer.units)
    sites = answer.sites
    title = plain_ascii(answer.title).upper()
    gap = max(WIDTH - len(title) - len(answer.file), 2)
    first = (
        f"{answer.would_work} pairs of ram spot and tank spot may work. Most water, about "
        f"{say.per_day(float(sites.delivered_m3_s[0]))}, comes from A."
    )
    lines = [f"{title}{' ' * gap}{answer.file}", "", *wrapped(first), ""]
    lines.append(f"   {'a day':>8}{'fall':>10}{'lift':>10}{'drive':>9}{'delivery':>10}{'stand':>9}")
    for n in range(len(sites)):
        length = "" if sites.lengths_known[n] else "+"
        lines.append(
            f"{chr(65 + n)}{'=' if n and answer.alike[n] else ' '} "
            f"{say.per_day_number(float(sites.delivered_m3_s[n])):>8}"
            f"{say.height(float(sites.fall_m[n])):>10}{say.height(float(sites.lift_m[n])):>10}"
            f"{say.length(float(sites.drive_m[n])) + length:>9}"
            f"{say.length(float(sites.delivery_m[n])) + length:>10}"
            f"{say.stand(float(sites.stand_m[n])):>9}"
        )
        if answer.rams[n].name:
            lines.append(plain_ascii(f"   ram at {answer.rams[n].name}, tank at "
                                     f"{answer.tanks[n].name}"))  # fmt: skip
    notes = [
        "=: the heights are not sure enough to tell its water from A's. +: at least; the length "
        "is not known, and the water is at most what is shown. Pipes are straight here, and what "
        "the outlets' pipes lose is left out: put a site into the study to know.",
        "Look at each spot: whose land it is, whether the stream floods it, whether you can reach "
        "and leave it safely. Rights to the water are a matter of local law.",
    ]
    for label, note in zip(("Mind", "Take care"), notes, strict=True):
        lines += wrapped(note, label=label, indent=11)
    if written is not None:
        lines += wrapped(written, label="See it", indent=11)
    return plain_ascii("\n".join(lines)) + "\n"
