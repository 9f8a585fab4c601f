"""The limits that findings are judged by, each beside the place where it was read."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.base.citation import COMMON_PRACTICE, OURS, Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.drive_pipe import (
    DELIVERY_VELOCITY as DELIVERY_VELOCITY_PRINTED,
)
from terrain_head.formulas.drive_pipe import (
    GREATEST_DELIVERY_VELOCITY_M_S,
    GREATEST_LIFT,
    GREATEST_LIFT_PER_FALL,
    LEAST_BACK_PRESSURE,
    LEAST_BACK_PRESSURE_PA,
    LEAST_FALL,
    LEAST_FALL_M,
)
from terrain_head.formulas.ram_tables import GREATEST_RATIO, OUTPUT_TABLE, POCKETBOOK_RATIOS
from terrain_head.ground.courses import JOIN_TOLD_M

WARWICK = Source(
    key="warwick-dtu-brochure",
    author="University of Warwick, Development Technology Unit",
    title="Brochure on hydraulic rams",
    year="no year",
    obtained="read in a copy",
)
ENCYCLOPEDIA = Source(
    key="encyclopedia-hydraulic-ram",
    author="Wikipedia",
    title="Hydraulic ram",
    year="no year",
    obtained="read in a copy",
)
EXTENSION_RAM = Source(
    key="nc-ebae-161-92",
    author="North Carolina Cooperative Extension",
    title="EBAE 161-92, on hydraulic rams",
    year="no year",
)
FIELD_GUIDE = Source(
    key="mihelcic-field-guide",
    author="J. R. Mihelcic et al.",
    title="Field Guide to Environmental Engineering for Development Workers, chapter 11 draft",
    year="2008",
)
GRAZIERS = Source(
    key="missouri-graziers",
    author="USDA-NRCS Missouri",
    title="Watering Systems for Serious Graziers",
    year="no year",
)
NRCS_430 = Source(
    key="nrcs-430",
    author="USDA-NRCS",
    title="Conservation Practice Standard 430, Irrigation Pipeline",
    year="no year",
    obtained="from memory",
)
TRENCHES = Source(
    key="29-cfr-1926-p",
    author="US Department of Labor, OSHA",
    title="29 CFR 1926 subpart P, Excavations",
    year="no year",
)
SPRING_SHEET = Source(
    key="protecting-springs",
    author="Cooperative extension sheet",
    title="Protecting Water Supply Springs",
    year="no year",
    obtained="read in a copy",
)
ABSTRACTION = Source(
    key="gov-uk-abstraction",
    author="GOV.UK",
    title="Hydroelectric power water abstraction levels, appendix 1",
    year="2024",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit, SI, and where it stands."""

    value: float
    citation: Citation


PRACTICE = COMMON_PRACTICE.at("")

FALL_LEAST = Limit(value=LEAST_FALL_M, citation=LEAST_FALL)
FALL_USUAL = Limit(value=2.0, citation=WARWICK.at("not normally viable below 2 m"))
FALL_SURE = Limit(
    value=0.25, citation=OURS.at("a fall is doubtful where nine in ten means a quarter of it")
)
RATIO_HIGH = Limit(value=GREATEST_LIFT_PER_FALL, citation=GREATEST_LIFT)
RATIO_MOST = Limit(value=GREATEST_RATIO, citation=OUTPUT_TABLE)
RATIO_NO_OUTPUT = POCKETBOOK_RATIOS[-1]
"""Lift over fall at which the Building Trades Pocketbook's efficiencies have come down to 0."""
BACK_PRESSURE = Limit(value=LEAST_BACK_PRESSURE_PA, citation=LEAST_BACK_PRESSURE)
DRIVE_OFF_GROUND = Limit(value=0.5, citation=OURS.at("half a metre of digging or of trestle"))
CLEARANCE = Limit(value=1.0, citation=OURS.at("a metre of head over the pipe"))
NEGATIVE = Limit(value=0.0, citation=FIELD_GUIDE.at("pressure nowhere below atmospheric"))
RATING_SHARE = Limit(value=0.72, citation=NRCS_430.at("working pressure"))
SUN_WARM = Limit(
    value=to_si(100.0, "F"),
    citation=OURS.at("a wall in the sun, 100 F: the warmest of which all plastics have a figure"),
)
VELOCITY = Limit(value=to_si(5.0, "ft/s"), citation=NRCS_430.at("velocity"))
DELIVERY_VELOCITY = Limit(value=GREATEST_DELIVERY_VELOCITY_M_S, citation=DELIVERY_VELOCITY_PRINTED)
TRENCH_DEEP = Limit(value=to_si(5.0, "ft"), citation=TRENCHES.at("1926.652(a)(1)"))
JOIN_GAP = Limit(value=JOIN_TOLD_M, citation=OURS.at("an end within 2 m of its route stands on it"))
DATUM_APART = Limit(
    value=10.0, citation=OURS.at("what differs by more stands on another datum, or in other units")
)
MISCLOSURE_SHARE = Limit(value=0.05, citation=OURS.at("a twentieth of the fall"))
