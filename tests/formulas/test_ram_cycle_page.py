"""docs/ram_cycle.md prints the figures of the code."""

from __future__ import annotations

from pathlib import Path

from terrain_head.assessment.hammer_findings import OCCASIONAL
from terrain_head.assessment.kinds import KINDS
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.ram_cycle import beat, delivering, ideal_efficiency
from terrain_head.formulas.ram_cycle_elastic import delivering_in_steps
from terrain_head.scheme.ram_cycle import CLOSING_SHARE

PAGE = (Path(__file__).parents[2] / "docs" / "ram_cycle.md").read_text(encoding="utf-8")


def rows(head: str) -> dict[str, list[str]]:
    """Return the rows of the table under a head, by their first cell."""
    lines = PAGE[PAGE.index(f"| {head} |") :].split("\n\n")[0].splitlines()[2:]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return {first: rest for first, *rest in cells}


def test_the_ideal_efficiencies() -> None:
    printed = rows("waste valve shuts at, by the steady velocity")
    assert len(printed) == 7
    for share, (efficiency,) in printed.items():
        assert efficiency == f"{float(ideal_efficiency(float(share))):.3f}"


def test_the_example() -> None:
    assert "Fall 3 m, delivery head 30 m, drive pipe 15 m of 50 mm, steady velocity 2 m/s" in PAGE
    one = beat(0.6, steady_m_s=2.0, fall_m=3.0, head_m=30.0, length_m=15.0, inside_m=0.05)
    assert {name: cells[0] for name, cells in rows("figure").items()} == {
        "velocity when the valve shuts": f"{0.6 * 2.0:.2f} m/s",
        "time to gather it": f"{float(one.accelerating.time_s):.3f} s",
        "wasted a beat": f"{from_si(float(one.accelerating.volume_m3), 'L'):.3f} L",
        "time of delivery": f"{float(one.delivering.time_s):.3f} s",
        "lifted a beat": f"{from_si(float(one.delivering.volume_m3), 'L'):.3f} L",
        "beats a minute": f"{to_si(1, 'min') / float(one.time_s):.1f}",
        "drive flow": f"{from_si(float(one.drive_m3_s), 'L/min'):.1f} L/min",
        "lifted": f"{from_si(float(one.delivered_m3_s), 'L/min'):.2f} L/min",
    }


def test_the_soft_pipes() -> None:
    pipe = {"length_m": 15.0, "inside_m": 0.05}
    printed = rows("speed of the wave")
    assert len(printed) == 4
    for speed, cells in printed.items():
        for head_m, cell in zip((30.0, 60.0), cells, strict=True):
            raised_m = head_m - 3.0
            if speed == "stiff":
                volume = delivering(1.2, raised_m=raised_m, **pipe).volume_m3
            else:
                wave = float(speed.split()[0])
                volume = delivering_in_steps(
                    1.2, raised_m=raised_m, wave_speed_m_s=wave, **pipe
                ).volume_m3
            assert cell == f"{from_si(float(volume), 'L'):.4f} L"


def test_what_is_taken_and_judged_is_what_the_code_takes_and_judges() -> None:
    assert f"else {CLOSING_SHARE:g}, listed as taken" in PAGE
    assert f"A stop over {OCCASIONAL.value:g} times the rating" in PAGE
    for kind in ("hammer-below-lift", "drive-pipe-hammer", "delivery-dead-ended",
                 "beats-do-not-fit", "pressure-over-rating"):  # fmt: skip
        assert kind in KINDS
        assert f"`{kind}`" in PAGE
