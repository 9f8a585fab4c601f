"""Efficiency of a ram that nobody measured: the two published tables, with their spread.

The first prints water lifted a day by fall and lift; what it holds is an efficiency that sinks with
lift by fall and is poorer at small falls. The second prints the efficiency by lift/fall alone and
sinks much faster. Neither is better vouched for, so a bought ram is given the value halfway between
them and the range that holds both. For a home-built ram the first work allows half of a bought
one's efficiency, and published tests of home-built rams stand lower still; its range reaches down
to those, and to half of the second table where that is less: no home-built ram is surer of its
water than a bought one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import OURS, Citation, Source
from terrain_head.base.units import DAY_S, from_si

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Built = Literal["bought", "home"]

WATER_FOR_THE_WORLD = Source(
    key="rws-4-d-5",
    author="Water for the World",
    title="Technical note RWS.4.D.5 on hydraulic rams",
    year="no year",
    obtained="read in a copy",
)
POCKETBOOK = Source(
    key="building-trades-pocketbook",
    author="unnamed",
    title="The Building Trades Pocketbook, the hydraulic ram",
    year="no year",
    obtained="read in a copy",
)
HOME_BUILT_TESTS = Source(
    key="sutanto-sujita",
    author="Sutanto, Sujita",
    title="Tests of home-built rams at 2 m fall, Mataram University, abstract",
    year="no year",
)
OUTPUT_TABLE = WATER_FOR_THE_WORLD.at("table 1, litres in 24 hours for 1 L/min of drive flow")
HOME_BUILT_HALF = WATER_FOR_THE_WORLD.at("0.66 for a bought ram, 0.33 for a home-built one")
EFFICIENCY_BY_RATIO = POCKETBOOK.at("efficiency by lift over fall")
HOME_BUILT_LEAST = HOME_BUILT_TESTS.at("best 22.3 %, other layout 14.2 %")
HALFWAY = OURS.at("a bought ram stands halfway between the two published tables")
EFFICIENCY_CITATIONS: Mapping[Built, tuple[Citation, ...]] = MappingProxyType(
    {
        "bought": (OUTPUT_TABLE, EFFICIENCY_BY_RATIO, HALFWAY),
        "home": (OUTPUT_TABLE, HOME_BUILT_HALF, HOME_BUILT_LEAST, EFFICIENCY_BY_RATIO),
    }
)
"""Where `table_efficiency` takes its figures from."""

TABLE_FALLS_M = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 9.0, 10.0, 12.0)
TABLE_LIFTS_M = (5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 125.0)
_NO = float("nan")
# One row a fall; printed digits. 43 at fall 4, lift 60 is a misprint: its neighbours imply 53.
TABLE_LITRES_A_DAY = (
    (144.0, 77.0, 65.0, 33.0, 29.0, 19.5, 12.5, _NO, _NO, _NO, _NO, _NO),
    (_NO, 135.0, 96.5, 70.0, 54.0, 36.0, 19.0, 15.0, _NO, _NO, _NO, _NO),
    (_NO, 220.0, 156.0, 105.0, 79.0, 53.0, 33.0, 25.0, 19.5, 12.5, _NO, _NO),
    (_NO, 280.0, 200.0, 125.0, 100.0, 66.0, 40.5, 32.5, 24.0, 15.5, 12.0, _NO),
    (_NO, _NO, 260.0, 180.0, 130.0, 87.0, 65.0, 51.0, 40.0, 27.0, 17.5, 12.0),
    (_NO, _NO, _NO, 215.0, 150.0, 100.0, 75.0, 60.0, 46.0, 31.5, 20.0, 14.0),
    (_NO, _NO, _NO, 255.0, 173.0, 115.0, 86.0, 69.0, 43.0, 36.0, 23.0, 16.0),
    (_NO, _NO, _NO, 310.0, 236.0, 155.0, 118.0, 94.0, 71.5, 50.0, 36.0, 23.0),
    (_NO, _NO, _NO, _NO, 282.0, 185.0, 140.0, 112.0, 93.5, 64.5, 47.5, 34.5),
    (_NO, _NO, _NO, _NO, _NO, 216.0, 163.0, 130.0, 109.0, 82.0, 60.0, 48.0),
    (_NO, _NO, _NO, _NO, _NO, _NO, 212.0, 168.0, 140.0, 105.0, 84.0, 62.0),
    (_NO, _NO, _NO, _NO, _NO, _NO, 245.0, 187.0, 156.0, 117.0, 93.0, 69.0),
    (_NO, _NO, _NO, _NO, _NO, _NO, 295.0, 225.0, 187.0, 140.0, 113.0, 83.0),
)
MISPRINTED = (4.0, 60.0)
"""Fall and lift [m] of the cell that is left out."""

POCKETBOOK_RATIOS = (4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 24.0, 26.0)
# 0.25 at 16 is printed "10", a misprint.
POCKETBOOK_EFFICIENCIES = (0.72, 0.61, 0.52, 0.44, 0.37, 0.31, 0.25, 0.19, 0.14, 0.09, 0.04, 0.0)

LEAST_RATIO = 1.0
GREATEST_RATIO = 40.0
LEAST_FALL_M = TABLE_FALLS_M[0]
_HOME_SHARE = 0.33 / 0.66
_HOME_LEAST = 0.142

# Cells are gathered where the table behaves alike: poor small falls, and steps along lift/fall.
_FALL_GROUPS = ((1.0, 1.5), (2.0, 2.5), (3.0, 3.5, 4.0), (5.0, 6.0, 7.0, 9.0, 10.0, 12.0))
_RATIO_EDGES = (0.0, 6.0, 10.0, 15.0, 20.0, 25.0, 31.0, 42.0)
_RATIO_CENTRES = (4.5, 8.0, 12.5, 17.5, 22.5, 28.0, 36.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EfficiencyRange:
    """What the published tables allow; every array in the common shape of the arguments.

    Parameters
    ----------
    middle, low, high
        D'Aubuisson's efficiency and its spread, nan beyond the published range [1].
    citations
        Where they come from.
    sources_disagree
        Whether one source stands outside the other's own spread.
    within_range
        Whether the published range reaches there.
    """

    middle: FloatArray
    low: FloatArray
    high: FloatArray
    citations: tuple[Citation, ...]
    sources_disagree: BoolArray
    within_range: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Curves:
    """Efficiency of the output table by fall group (rows) and lift/fall (columns)."""

    falls: FloatArray
    ratios: FloatArray
    efficiency: FloatArray


def table_efficiency(head_ratio: ArrayLike, *, built: Built, fall_m: ArrayLike) -> EfficiencyRange:
    """Return the efficiency that the published tables give a ram.

    Parameters
    ----------
    head_ratio
        Lift, losses of the delivery included, by fall [1].
    built
        ``bought`` or ``home``.
    fall_m
        Fall on the drive pipe, broadcast against the ratio [m].

    Returns
    -------
    EfficiencyRange
        Middle, low and high never rise with the ratio and have no steps, so that a solver can
        close in on them.

    Notes
    -----
    Range: lift/fall from 1 to 40, falls from 1 m. Three conventions are ours. Below the least
    printed ratio (3 and 4) the first printed figure is held, since every source sinks with the
    ratio. Beyond 26, where the second table has come down to nothing, its nothing is held. Falls
    above 12 m are taken as the table's greatest, 12 m.

    Examples
    --------
    >>> ram = table_efficiency([8.0, 45.0], built="bought", fall_m=3.0)
    >>> ram.middle.round(2).tolist(), ram.within_range.tolist()
    ([0.55, nan], [True, False])

    References
    ----------
    Water for the World, Technical note RWS.4.D.5 on hydraulic rams, no year, table 1 (read in a
    copy).
    The Building Trades Pocketbook, no year, the hydraulic ram (read in a copy).
    """
    table = output_table_efficiency(head_ratio, fall_m=fall_m)
    middle, low, high = table.middle, table.low, table.high
    other = pocketbook_efficiency(head_ratio) + 0 * middle
    if built == "bought":
        disagree = (other < low) | (other > high)
        middle = (middle + other) / 2
        low, high = np.minimum(low, other), np.maximum(high, other)
    else:
        middle, low, high = (part * _HOME_SHARE for part in (middle, low, high))
        # The tested ram has no printed lift: its figure sinks along the table's own curve.
        tested = middle * (_HOME_LEAST / 0.33)
        least = np.minimum(tested, other * _HOME_SHARE)
        disagree = least < low
        low = np.minimum(low, least)
    return EfficiencyRange(
        middle=np.asarray(middle),
        low=np.asarray(low),
        high=np.asarray(high),
        citations=EFFICIENCY_CITATIONS[built],
        sources_disagree=np.asarray(disagree),
        within_range=table.within_range,
    )


def output_table_efficiency(head_ratio: ArrayLike, *, fall_m: ArrayLike) -> EfficiencyRange:
    """Return the efficiency of a bought ram that the table of outputs implies, taken alone.

    Parameters
    ----------
    head_ratio
        Lift by fall [1].
    fall_m
        Fall on the drive pipe, broadcast against the ratio [m].

    Returns
    -------
    EfficiencyRange
        Means of the cells around, smoothed so that they never rise with the ratio; low and high
        stand off by the greatest departure of any cell.
    """
    ratio, fall = np.broadcast_arrays(
        np.asarray(head_ratio, np.float64), np.asarray(fall_m, np.float64)
    )
    within = (ratio >= LEAST_RATIO) & (ratio <= GREATEST_RATIO) & (fall >= LEAST_FALL_M)
    middle = np.where(within, _interpolate(_curves(), ratio, fall), np.nan)
    spread = _greatest_departure()
    return EfficiencyRange(
        middle=np.asarray(middle),
        low=np.asarray(middle - spread),
        high=np.asarray(middle + spread),
        citations=(OUTPUT_TABLE,),
        sources_disagree=np.zeros(within.shape, bool),
        within_range=np.asarray(within),
    )


def pocketbook_efficiency(head_ratio: ArrayLike) -> FloatArray:
    """Return the efficiency by lift/fall alone, straight between the printed rows.

    Parameters
    ----------
    head_ratio
        Lift by fall [1].

    Returns
    -------
    FloatArray
        Efficiency; the first figure is held below a ratio of 4, nothing is left from 26 [1].
    """
    ratio = np.asarray(head_ratio, np.float64)
    return np.asarray(np.interp(ratio, POCKETBOOK_RATIOS, POCKETBOOK_EFFICIENCIES))


def implied_efficiencies() -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return fall, lift/fall and implied efficiency of every sound cell of the table of outputs.

    Returns
    -------
    tuple of FloatArray
        Fall [m], lift by fall [1], efficiency [1].

    Notes
    -----
    Efficiency = litres a day x lift / (1440 x fall) for one litre a minute; the formula printed
    beside the table lacks the 1440 minutes of a day.
    """
    falls, lifts = np.meshgrid(TABLE_FALLS_M, TABLE_LIFTS_M, indexing="ij")
    litres = np.array(TABLE_LITRES_A_DAY)
    sound = ~np.isnan(litres) & ~((falls == MISPRINTED[0]) & (lifts == MISPRINTED[1]))
    falls, lifts, litres = falls[sound], lifts[sound], litres[sound]
    return falls, lifts / falls, litres * lifts / (from_si(DAY_S, "min") * falls)


@cache
def _curves() -> _Curves:
    falls, ratios, found = implied_efficiencies()
    shape = (len(_FALL_GROUPS), len(_RATIO_EDGES) - 1)
    mean, count = np.full(shape, np.nan), np.zeros(shape)
    column = np.digitize(ratios, _RATIO_EDGES) - 1
    for i, group in enumerate(_FALL_GROUPS):
        for j in range(shape[1]):
            cells = found[np.isin(falls, group) & (column == j)]
            if cells.size:
                mean[i, j], count[i, j] = cells.mean(), cells.size
    # Great falls are not printed at great ratios: the next smaller falls stand in.
    blank = count[-1] == 0
    mean[-1, blank], count[-1, blank] = mean[-2, blank], count[-2, blank]
    return _Curves(
        falls=np.array([np.mean(group) for group in _FALL_GROUPS]),
        ratios=np.array(_RATIO_CENTRES),
        efficiency=np.array([_never_rising(*row) for row in zip(mean, count, strict=True)]),
    )


@cache
def _greatest_departure() -> float:
    falls, ratios, found = implied_efficiencies()
    return float(np.max(np.abs(found - _interpolate(_curves(), ratios, falls))))


def _never_rising(values: FloatArray, weights: FloatArray) -> FloatArray:
    """Return the nearest row that never rises: neighbours that rise are pooled by their weight."""
    pools: list[tuple[float, float, int]] = []
    for value, weight in zip(values.tolist(), weights.tolist(), strict=True):
        pools.append((value, weight, 1))
        while len(pools) > 1 and pools[-1][0] > pools[-2][0]:
            (v2, w2, n2), (v1, w1, n1) = pools.pop(), pools.pop()
            pools.append(((v1 * w1 + v2 * w2) / (w1 + w2), w1 + w2, n1 + n2))
    return np.concatenate([np.full(count, value) for value, _weight, count in pools])


def _interpolate(curves: _Curves, ratio: FloatArray, fall: FloatArray) -> FloatArray:
    rows = [np.interp(ratio, curves.ratios, row) for row in curves.efficiency]
    by_group = np.stack(rows, axis=-1)
    place = np.interp(fall, curves.falls, np.arange(len(rows), dtype=np.float64))
    below = np.clip(np.nan_to_num(np.floor(place)), 0, len(rows) - 2).astype(np.intp)
    lower = np.take_along_axis(by_group, below[..., None], axis=-1)[..., 0]
    upper = np.take_along_axis(by_group, below[..., None] + 1, axis=-1)[..., 0]
    return np.asarray(lower + (place - below) * (upper - lower))
