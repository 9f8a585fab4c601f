"""Every kind of finding, the most important for the person first."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "fall-negative": "the ram stands above the water of the source",
        "lift-negative": "the tank's inlet stands below the ram",
        "fall-too-small": "the fall is less than any ram is said to run on",
        "ram-stops": "less water than the ram needs to keep going",
        "lift-beyond-range": "lift over fall lies beyond every published output table",
        "hammer-below-lift": "the ram's blow does not reach its delivery head",
        "pressure-negative": "the hydraulic grade line falls below the pipe",
        "outlet-dry": "no pressure is left at an outlet while it should run",
        "pressure-over-rating": "still water presses harder than the pipe is rated for",
        "drive-pipe-hammer": "a stuck delivery valve would strain the drive pipe",
        "fall-doubtful": "the error of the heights rivals the fall",
        "fall-small": "the fall is less than is usually worth a ram",
        "tank-short": "less water arrives in a tank than is wanted",
        "outlet-short": "an outlet gets less pressure than it needs",
        "misclosure": "the level book does not close within its readings",
        "rod-seems-direct": "the book would close if the rod were read the other way",
        "reading-stands-out": "a reading that fits the others worst",
        "looks-like-feet-inches": "readings that may be feet and inches",
        "long-reading": "a reading longer than a rod",
        "raster-error-unknown": "nobody said how wrong the raster is",
        "raster-disagrees": "rod and raster differ by more than the raster's error explains",
        "stated-height-apart": "the study states another height than was leveled",
        "efficiency-disagrees": "the published efficiencies differ more than their own spread",
        "beats-do-not-fit": "the counted beats do not fit flow, drive pipe and fall",
        "flow-season": "the flow was not said to be that of the dry season",
        "ram-outruns-spring": "the ram would take more than may be taken",
        "source-outrun": "outlets that run together draw more than the source may give",
        "ram-not-needed": "the tank lies below the source: water runs there by itself",
        "lift-ratio-high": "lift over fall is near the end of what rams are said to do",
        "lift-below-back-pressure": "too little pressure on the ram's outlet to keep it beating",
        "tank-weight": "the weight of the full tank on its stand",
        "trench-deep": "a trench so deep that its sides may fall in",
        "delivery-can-shut": "something on the delivery pipe can shut it while the ram beats",
        "delivery-dead-ended": "shut while the ram beats, the delivery pipe is over its rating",
        "surge-over-rating": "a valve shut at once would strain the pipe",
        "tank-runs-over": "a higher tank runs into a lower one while nothing is drawn",
        "delivery-tapped": "a tap on the ram's delivery, which must stay open to the tank",
        "pressure-near-rating": "still water uses up most of the pipe's rating",
        "pipe-in-sun": "plastic pipe that bears less where the sun warms it",
        "water-too-warm": "nothing is published for the pipe in water so warm",
        "drive-plastic": "the drive pipe is not of metal",
        "drive-length": "the drive pipe's length against the published rules",
        "drive-flow": "the drive flow against the published bores of drive pipes",
        "drive-rises": "the drive pipe rises on its way to the ram",
        "drive-off-ground": "the straight drive pipe lies far from the ground",
        "ram-drain": "the spilled water must run away from the ram",
        "inlet-below-full": "the filling pipe ends under the water of the full tank",
        "clearance-small": "the hydraulic grade line passes close over the pipe",
        "intake-shallow": "the intake is not deep enough under water to keep air out",
        "gravity-throttle": "the pipe could carry more than the source gives",
        "velocity-high": "the water runs faster than is advised",
        "delivery-velocity-high": "the delivery pipe is narrow for its flow",
        "ground-unknown": "the ground between the ends of a pipe is not known",
        "outlet-fills": "how long a truck takes to fill, and how its valve must be shut",
        "air-high-point": "a high point where air gathers",
        "water-low-point": "a low point that holds water when the pipe is drained",
        "hangs-on-one-reading": "a height that hangs on a single reading",
        "book-unchecked": "nothing checks the level book",
        "names-alike": "two names that may be one point",
        "point-never-read": "a point of a route of the book that was never read",
        "point-of-no-place": "a point leveled once that nothing in the study names",
        "unknown-column": "a column of the book that was not read",
        "leg-taken-level": "a taped leg that was taken as level",
        "page-check": "figures of the book worked by hand, or its sums, that do not agree",
        "sights-without-distance": "sights whose length nobody wrote down",
        "tilt-at-its-worst": "sights of a laser whose direction nobody wrote down",
        "collimation-taken-off": "the level's line of sight is out, and that was taken off",
        "raster-left-over": "what raster and rod still differ by at leveled places",
        "raster-bias": "the raster stands higher or lower than the rod",
        "raster-tied-once": "the raster was moved onto the book at one place only",
        "route-joined": "a pipe's end stands off its route",
        "place-from-route": "a place took its position from the end of a route",
        "summit-sets-lift": "a summit of the delivery pipe stands above the tank's inlet",
        "gravity-limits": "the pipe carries less than the source gives",
        "water-passes-by": "water that may be taken but is more than the rams take",
        "efficiency-from-table": "the efficiency comes from a published table",
        "rating-unknown": "nobody said what pressure a pipe may carry",
        "values-taken": "values that were taken for want of the person's own",
        "assumed-datum": "the first point of the book was called 100",
        "trench": "what to see to before digging",
        "drinking-water": "spring water is not safe to drink untested",
        "water-right": "taking water may need leave",
    }
)
"""What each kind of finding is about, by its fixed key. Among findings equally grave the order of
this list is the order in which they are told."""

_RANK = {kind: rank for rank, kind in enumerate(KINDS)}


def rank_of(kind: str) -> int:
    """Return the place of a kind in the order in which findings are told, 0 first.

    Raises
    ------
    KeyError
        If there is no such kind.
    """
    return _RANK[kind]
