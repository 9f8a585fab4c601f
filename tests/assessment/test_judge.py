from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import in_order
from terrain_head.assessment.kinds import KINDS, rank_of
from tests.assessment.builders import (
    elevations_of,
    evidence_of,
    findings_of,
    run_of_levels,
    with_ram_result,
    with_tank,
)

QUIET = {"drive-length", "ram-drain", "drinking-water", "water-right"}


def test_a_good_scheme_gives_only_what_is_good_to_know() -> None:
    findings = findings_of(evidence_of())
    assert {"fine"} == {finding.severity for finding in findings}
    assert {finding.kind for finding in findings} == QUIET


def test_the_gravest_come_first_and_equals_follow_the_list_of_kinds() -> None:
    told = [
        Finding(kind="trench", severity="fine"),
        Finding(kind="outlet-short", severity="care"),
        Finding(kind="values-taken", severity="fine"),
        Finding(kind="outlet-dry", severity="stop"),
        Finding(kind="tank-short", severity="care"),
    ]
    assert [finding.kind for finding in in_order(iter(told))] == [
        "outlet-dry",
        "tank-short",
        "outlet-short",
        "values-taken",
        "trench",
    ]


def test_an_unknown_kind_is_a_fault() -> None:
    with pytest.raises(KeyError):
        rank_of("no-such-kind")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_says_what_it_is_about(kind: str) -> None:
    assert KINDS[kind]
    assert kind == kind.lower()


@given(datum=st.floats(-500.0, 4000.0).map(lambda metres: round(metres, 3)))
def test_a_constant_added_to_the_datum_changes_no_finding(datum: float) -> None:
    def told(datum_m: float) -> list[tuple[object, ...]]:
        rough = evidence_of(
            datum_m=datum_m,
            std_m=0.2,
            heights={"delivery": [95, 101, 99.5, 103, 118], "drive": [100, 100.7, 98, 95.5, 95]},
        )
        rough = with_tank(rough, stand_m=dataclasses.replace(rough.layout.tanks[0].stand_m))
        rough = with_ram_result(rough, fall_m=1.5, lift_m=50.0, head_ratio=34.0)
        book = elevations_of(datum_m=datum_m, misclosures=(run_of_levels(0.3, holds=False),))
        findings = findings_of(dataclasses.replace(rough, elevations=book))
        return [
            (one.kind, one.severity, None if one.value is None else round(one.value, 6), one.where)
            for one in findings
        ]

    assert told(0.0) == told(datum)
