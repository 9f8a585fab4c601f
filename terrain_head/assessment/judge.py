"""Every finding of one choice, the gravest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from terrain_head.assessment.air_findings import turn_findings
from terrain_head.assessment.book_facts import blunder_findings, fact_findings
from terrain_head.assessment.caution_findings import caution_findings
from terrain_head.assessment.cycle_findings import cycle_findings
from terrain_head.assessment.drive_findings import drive_findings
from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.fall_findings import fall_findings, lift_findings
from terrain_head.assessment.finding import Finding, Severity
from terrain_head.assessment.hammer_findings import hammer_findings
from terrain_head.assessment.kinds import rank_of
from terrain_head.assessment.need_findings import need_findings
from terrain_head.assessment.pipe_findings import pipe_findings
from terrain_head.assessment.pressure_findings import pressure_findings
from terrain_head.assessment.ram_findings import ram_findings, source_findings
from terrain_head.assessment.rating_findings import rating_findings
from terrain_head.assessment.stray_points import stray_findings
from terrain_head.assessment.surge_findings import surge_findings
from terrain_head.assessment.survey_findings import (
    book_findings,
    raster_findings,
    route_findings,
    stated_findings,
)
from terrain_head.assessment.truck import truck_findings
from terrain_head.base.measured import Measured
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Taken
from terrain_head.scheme.solution import Solution

SUBJECTS: Sequence[Callable[[Evidence], Iterator[Finding]]] = (
    fall_findings,
    lift_findings,
    drive_findings,
    ram_findings,
    cycle_findings,
    hammer_findings,
    source_findings,
    pressure_findings,
    rating_findings,
    surge_findings,
    pipe_findings,
    turn_findings,
    need_findings,
    truck_findings,
    book_findings,
    fact_findings,
    blunder_findings,
    stray_findings,
    stated_findings,
    raster_findings,
    route_findings,
    caution_findings,
)

_WEIGHT: Mapping[Severity, int] = {"stop": 0, "care": 1, "fine": 2}


def judge(
    *,
    ground: Ground,
    layout: Layout,
    solution: Solution,
    elevations: Elevations | None,
    grid: ElevationGrid | None,
    spread: Mapping[str, Measured],
    book: LevelBook | None = None,
    spreads_taken: Sequence[Taken] = (),
) -> tuple[Finding, ...]:
    """Return the findings of one choice in the order in which they are told.

    Parameters
    ----------
    ground, layout, solution
        The choice, solved.
    elevations, grid
        The reduced level book and the raster, None where there is none.
    spread
        Results with their standard errors, from `terrain_head.assessment.spread.spread_of`.
    book
        The level books as written, to name their lines.
    spreads_taken
        Give-or-takes that were taken for want of the person's own.

    Returns
    -------
    tuple of Finding
        What stops the scheme, then what wants care, then what is good to know; equals in the
        order of `terrain_head.assessment.kinds.KINDS`.
    """
    evidence = Evidence(
        ground=ground,
        layout=layout,
        solution=solution,
        elevations=elevations,
        grid=grid,
        spread=spread,
        book=book,
        spreads_taken=spreads_taken,
    )
    return in_order(finding for subject in SUBJECTS for finding in subject(evidence))


def in_order(findings: Iterator[Finding]) -> tuple[Finding, ...]:
    """Return findings the gravest first, equals in the order of their kinds."""
    return tuple(sorted(findings, key=lambda one: (_WEIGHT[one.severity], rank_of(one.kind))))
