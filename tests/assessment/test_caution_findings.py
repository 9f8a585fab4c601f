from __future__ import annotations

from terrain_head.base.citation import OURS
from terrain_head.scheme.parts import Taken
from tests.assessment.builders import evidence_of, found, with_layout, with_parts

WATER = Taken(key="water.temperature", value_si=10.0, unit="C", citation=OURS.at("cold spring"))
DEPTH = Taken(key="tank.lowest", value_si=0.0, unit="m", citation=OURS.at("the deck"))


def test_values_taken_are_counted_once() -> None:
    assert found(evidence_of(), "values-taken") == []
    (finding,) = found(with_parts(evidence_of(), taken=(WATER, DEPTH)), "values-taken")
    assert (finding.value, finding.texts["keys"]) == (2.0, "water.temperature, tank.lowest")
    assert finding.source is None
    (alone,) = found(with_parts(evidence_of(), taken=(WATER,)), "values-taken")
    assert WATER.citation == alone.source


def test_cautions_are_given_only_where_they_fit() -> None:
    assert found(with_parts(evidence_of(), outlets=()), "drinking-water") == []
    assert found(with_parts(evidence_of(), source=None), "drinking-water") == []
    assert found(with_layout(evidence_of(), source_flow_m3_s=None), "water-right") == []
    assert found(evidence_of(), "water-right")[0].value == 1.0
