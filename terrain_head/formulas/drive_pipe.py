"""Published rules for a ram's drive pipe, its delivery pipe and its setting.

The rules disagree, as rules of thumb do; each is kept with its source, and what is said of a
scheme is which of them it meets. None of them alone condemns a drive pipe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.ram_tables import POCKETBOOK, WATER_FOR_THE_WORLD

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

TRULLINGER = Source(
    key="trullinger-1914",
    author="R. W. Trullinger",
    title="Water supply, plumbing and sewage disposal for country homes, USDA Department Bulletin",
    year="1914",
)
OGDEN = Source(
    key="ogden-rural-hygiene",
    author="H. N. Ogden",
    title="Rural Hygiene",
    year="no year",
)
PERKIN = Source(
    key="perkin-ram",
    author="Perkin, as cited by an encyclopaedia",
    title="Length of a ram's drive pipe by the fall",
    year="no year",
    obtained="read in a copy",
)
CALVERT = Source(
    key="calvert-ram",
    author="Calvert, as quoted in a public note",
    title="Length of a ram's drive pipe by its bore",
    year="no year",
    obtained="read in a copy",
)
CLEMSON = Source(
    key="clemson-ram",
    author="Clemson University Extension",
    title="Home-made hydraulic ram, sheet",
    year="no year",
)
WORKSHEET = Source(
    key="ram-worksheet",
    author="unnamed",
    title="Hydraulic ram design worksheet, on a document-sharing site",
    year="no year",
)

LEAST_FALL_M = 0.5
LEAST_FALL = WATER_FOR_THE_WORLD.at("least fall 0.5 m")
LEAST_BACK_PRESSURE_PA = to_si(10.0, "psi")
"""Printed 10 psi, some 23 ft of head at the ram's outlet [Pa]."""
LEAST_BACK_PRESSURE = CLEMSON.at("at least 10 psi back pressure")
GREATEST_LIFT_PER_FALL = 30.0
GREATEST_LIFT = OGDEN.at("not more than about 30 ft of lift for a foot of fall")
MEAN_DRIVE_VELOCITY_M_S = (0.2, 0.65)
"""What Ogden's list of drive flows comes to, over all bores [m/s]."""
GREATEST_DRIVE_VELOCITY_M_S = 1.1
"""What the worksheet's 70 to 80 L/min through 38 mm comes to [m/s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveRule:
    """One published rule of thumb.

    Parameters
    ----------
    key
        Fixed key.
    about
        What is judged: length by fall, length, length by bore, length by height above the source,
        or mean velocity.
    low, high
        Its bounds, SI; None where it has none on that side.
    unit
        JSON unit of the bounds.
    citation
        Where it stands.
    """

    key: str
    about: Literal["length/fall", "length", "length/bore", "length/lift", "velocity"]
    low: float | None
    high: float | None
    unit: str
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RuleCheck:
    """One rule held against a scheme: the value found, and whether the rule is met."""

    rule: DriveRule
    value: FloatArray
    holds: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveSize:
    """One row of Ogden's list: bores [m], the flow that works the ram [m3/s], least fall [m]."""

    drive_m: float
    delivery_m: float
    least_flow_m3_s: float
    greatest_flow_m3_s: float
    least_fall_m: float
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliverySize:
    """One row of delivery bores [m] by flow [m3/s]."""

    inside_m: float
    least_flow_m3_s: float
    greatest_flow_m3_s: float
    citation: Citation


DRIVE_RULES: tuple[DriveRule, ...] = (
    DriveRule(
        key="length 5 to 10 falls",
        about="length/fall",
        low=5.0,
        high=10.0,
        unit="1",
        citation=TRULLINGER.at("p. 27, usually 7 times the fall, 5 to 10 allowed"),
    ),
    DriveRule(
        key="length 3 to 7 falls",
        about="length/fall",
        low=3.0,
        high=7.0,
        unit="1",
        citation=PERKIN.at("3 to 7 times the fall"),
    ),
    DriveRule(
        key="length 25 to 50 ft",
        about="length",
        low=to_si(25.0, "ft"),
        high=to_si(50.0, "ft"),
        unit="m",
        citation=POCKETBOOK.at("25 to 50 ft"),
    ),
    DriveRule(
        key="length 150 to 1000 bores",
        about="length/bore",
        low=150.0,
        high=1000.0,
        unit="1",
        citation=CALVERT.at("150 to 1000 times the bore"),
    ),
    DriveRule(
        key="length 2 to 4 falls",
        about="length/fall",
        low=2.0,
        high=4.0,
        unit="1",
        citation=WORKSHEET.at("2 to 4 times the fall"),
    ),
    DriveRule(
        key="mean velocity of a maker's list",
        about="velocity",
        low=MEAN_DRIVE_VELOCITY_M_S[0],
        high=MEAN_DRIVE_VELOCITY_M_S[1],
        unit="m/s",
        citation=OGDEN.at("table XI, bores and flows turned into velocities"),
    ),
    DriveRule(
        key="velocity of the worksheet",
        about="velocity",
        low=None,
        high=GREATEST_DRIVE_VELOCITY_M_S,
        unit="m/s",
        citation=WORKSHEET.at("70 to 80 L/min through 1-1/2 in"),
    ),
)

USUAL_LENGTH_PER_FALL = 7.0
USUAL_LENGTH = TRULLINGER.at("p. 27, usually 7 times the fall")


def _drive_size(row: tuple[float, float, float, float, float]) -> DriveSize:
    drive, delivery, least, greatest, fall = row
    return DriveSize(
        drive_m=to_si(drive, "in"),
        delivery_m=to_si(delivery, "in"),
        least_flow_m3_s=to_si(least, "gal/min"),
        greatest_flow_m3_s=to_si(greatest, "gal/min"),
        least_fall_m=to_si(fall, "ft"),
        citation=OGDEN.at("table XI"),
    )


# Printed inches, inches, US gallons a minute from and to, feet.
DRIVE_SIZES: tuple[DriveSize, ...] = tuple(
    _drive_size(row)
    for row in (
        (1.25, 0.75, 2.5, 6.0, 3.0),
        (1.5, 0.75, 6.0, 12.0, 3.0),
        (2.0, 1.0, 8.0, 18.0, 2.0),
        (2.5, 1.0, 11.0, 24.0, 2.0),
        (3.0, 1.25, 15.0, 35.0, 2.0),
        (4.0, 2.0, 30.0, 75.0, 2.0),
        (8.0, 4.0, 150.0, 350.0, 2.0),
        (12.0, 5.0, 375.0, 700.0, 2.0),
    )
)

# Printed millimetres, litres a minute from and to; each list ends at some 0.8 m/s.
DELIVERY_SIZES: tuple[DeliverySize, ...] = tuple(
    DeliverySize(
        inside_m=to_si(bore, "mm"),
        least_flow_m3_s=to_si(least, "L/min"),
        greatest_flow_m3_s=to_si(greatest, "L/min"),
        citation=WATER_FOR_THE_WORLD.at("bore of the delivery pipe"),
    )
    for bore, least, greatest in (
        (30.0, 6.0, 36.0),
        (40.0, 37.0, 60.0),
        (50.0, 61.0, 90.0),
        (80.0, 91.0, 234.0),
        (100.0, 235.0, 360.0),
    )
)
GREATEST_DELIVERY_VELOCITY_M_S = 0.85
DELIVERY_VELOCITY = WATER_FOR_THE_WORLD.at(
    "bore of the delivery pipe: its flows come to 0.76 to 0.85 m/s at the most",
    obtained="computed",
)


def check_drive_pipe(
    *,
    length_m: ArrayLike,
    fall_m: ArrayLike,
    inside_m: ArrayLike | None = None,
    flow_m3_s: ArrayLike | None = None,
) -> tuple[RuleCheck, ...]:
    """Return which published rules a drive pipe meets.

    Parameters
    ----------
    length_m
        Length of the drive pipe [m].
    fall_m
        Fall on it [m].
    inside_m
        Its inside diameter; rules that need it are left out where it is None [m].
    flow_m3_s
        Whole flow into the one ram it feeds; rules that need it are left out where None [m3/s].

    Returns
    -------
    tuple of RuleCheck
        In the order of `DRIVE_RULES`, only those that could be judged.

    Examples
    --------
    >>> checks = check_drive_pipe(length_m=12.0, fall_m=2.0, inside_m=0.05)
    >>> [bool(check.holds) for check in checks]
    [True, True, True, True, False]
    """
    length, fall = np.asarray(length_m, np.float64), np.asarray(fall_m, np.float64)
    values: dict[str, FloatArray] = {"length/fall": length / fall, "length": length}
    if inside_m is not None:
        inside = np.asarray(inside_m, np.float64)
        values["length/bore"] = length / inside
        if flow_m3_s is not None:
            values["velocity"] = 4 * np.asarray(flow_m3_s, np.float64) / (np.pi * inside**2)
    return tuple(
        RuleCheck(rule=rule, value=values[rule.about], holds=_within(values[rule.about], rule))
        for rule in DRIVE_RULES
        if rule.about in values
    )


def drive_size_for(flow_m3_s: float) -> DriveSize | None:
    """Return the least row of Ogden's list whose ram takes a flow, or None beyond the list.

    Parameters
    ----------
    flow_m3_s
        Flow into one ram [m3/s].
    """
    fitting = (
        size for size in DRIVE_SIZES if size.least_flow_m3_s <= flow_m3_s <= size.greatest_flow_m3_s
    )
    return next(fitting, None)


def drive_size_of(inside_m: float) -> DriveSize:
    """Return the row of Ogden's list whose drive bore is nearest by ratio.

    Parameters
    ----------
    inside_m
        Inside diameter of the drive pipe [m].
    """
    return min(DRIVE_SIZES, key=lambda size: abs(np.log(size.drive_m / inside_m)))


def delivery_size_for(flow_m3_s: float) -> DeliverySize | None:
    """Return the least published delivery bore for a flow, or None beyond the list.

    Parameters
    ----------
    flow_m3_s
        Delivered flow [m3/s].
    """
    return next((size for size in DELIVERY_SIZES if flow_m3_s <= size.greatest_flow_m3_s), None)


def _within(value: FloatArray, rule: DriveRule) -> BoolArray:
    least = -np.inf if rule.low is None else rule.low
    greatest = np.inf if rule.high is None else rule.high
    return np.asarray((value >= least) & (value <= greatest))
