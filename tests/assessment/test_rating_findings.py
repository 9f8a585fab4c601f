"""What still water puts on a pipe is held against what the pipe bears, warm as it is."""

from __future__ import annotations

import dataclasses

import pytest

from terrain_head.assessment.evidence import Evidence
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, US
from terrain_head.formulas.pipe_warmth import (
    PE100_DERATING,
    PE_DERATING,
    PVC_DERATING,
    Derating,
)
from terrain_head.report.words import finding_text
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_parts,
    with_pipe_result,
    with_run,
    with_spec,
)

KINDS = ("pressure-over-rating", "pressure-near-rating", "pipe-in-sun", "water-too-warm")


def pressed(
    static_pa: float,
    *,
    water_c: float = 10.0,
    derating: Derating | None = PE100_DERATING,
    cover_m: float = 0.4,
) -> Evidence:
    """Return a plastic pipe of 1.6 MPa under a static pressure, by default in the ground."""
    evidence = with_pipe_result(evidence_of(), "beds", max_static_pa=scalar(static_pa))
    evidence = with_run(evidence, "beds", cover_m=Measured(value=cover_m))
    evidence = with_spec(evidence, "beds", derating=derating)
    return with_parts(evidence, water_temperature_c=water_c)


def told(evidence: Evidence) -> list[tuple[str, str]]:
    return [(one.kind, one.severity) for kind in KINDS for one in found(evidence, kind)]


@pytest.mark.parametrize(
    ("static_pa", "water_c", "kinds"),
    [
        (1.5e6, 10.0, [("pressure-near-rating", "care")]),
        (1.5e6, 40.0, [("pressure-over-rating", "stop")]),
        (1.0e6, 10.0, []),
        (1.0e6, 40.0, [("pressure-near-rating", "care")]),
        (0.5e6, 50.0, []),
        (0.5e6, 50.1, [("water-too-warm", "care")]),
        (1.5e6, 60.0, [("water-too-warm", "care")]),
    ],
)
def test_warm_water_takes_from_the_rating(
    static_pa: float, water_c: float, kinds: list[tuple[str, str]]
) -> None:
    assert kinds == told(pressed(static_pa, water_c=water_c))


def test_a_derated_rating_is_said_with_its_warmth_and_its_table() -> None:
    (finding,) = found(pressed(1.5e6, water_c=40.0), "pressure-over-rating")
    assert finding.limit == pytest.approx(0.84 * 1.6e6)
    assert finding.values == {"cool_rating_pa": 1.6e6, "temperature_c": 40.0}
    assert finding.source == PE100_DERATING.citation
    text = finding_text(finding, units=METRIC)
    assert "rated for 16.0 bar (1 600 kPa) in cool water" in text
    assert "bears 13.4 bar (1 344 kPa) at 40 C" in text
    assert "104 F" in finding_text(finding, units=US)


def test_a_rating_in_cool_water_is_said_without_warmth() -> None:
    (finding,) = found(pressed(1.7e6), "pressure-over-rating")
    assert finding.limit == 1.6e6
    assert finding.values == {}
    assert "cool water" not in finding_text(finding, units=METRIC)
    (near,) = found(pressed(1.5e6), "pressure-near-rating")
    assert near.values == {"rating_pa": 1.6e6}


def test_beyond_the_table_nothing_is_promised() -> None:
    (finding,) = found(pressed(0.5e6, water_c=55.0), "water-too-warm")
    assert (finding.value, finding.limit, finding.unit) == (55.0, 50.0, "C")
    assert finding.values == {"pressure_pa": 0.5e6, "cool_rating_pa": 1.6e6}
    assert "over 50 C" in finding_text(finding, units=METRIC)


def test_a_material_of_ones_own_keeps_its_stated_rating() -> None:
    assert told(pressed(1.5e6, water_c=60.0, derating=None, cover_m=0.0)) == [
        ("pressure-near-rating", "care")
    ]


@pytest.mark.parametrize(
    ("static_pa", "derating", "severity"),
    [
        (1.15e6, PE100_DERATING, None),
        (1.2e6, PE100_DERATING, "fine"),
        (1.37e6, PE100_DERATING, "fine"),
        (1.39e6, PE100_DERATING, "care"),
        (1.27e6, PE_DERATING, "fine"),
        (1.29e6, PE_DERATING, "care"),
        (0.98e6, PVC_DERATING, None),
        (1.0e6, PVC_DERATING, "care"),
        (1.7e6, PVC_DERATING, None),
    ],
)
def test_plastic_that_lies_bare_is_judged_as_warm_as_the_sun_makes_it(
    static_pa: float, derating: Derating, severity: str | None
) -> None:
    """Left at 100 F: PE100 86 % or 1.38 MPa, other PE 1.28 MPa, PVC 62 % or 0.99 MPa."""
    evidence = pressed(static_pa, derating=derating, cover_m=0.0)
    assert [severity] * (severity is not None) == [
        one.severity for one in found(evidence, "pipe-in-sun")
    ]
    assert found(pressed(static_pa, derating=derating), "pipe-in-sun") == []


def test_in_the_sun_the_wall_is_never_cooler_than_its_water() -> None:
    (finding,) = found(pressed(1.2e6, water_c=45.0, cover_m=0.0), "pipe-in-sun")
    assert finding.values["temperature_c"] == 45.0
    assert finding.limit == pytest.approx(0.8 * 1.6e6)


def test_a_shut_delivery_pipe_is_held_against_what_it_bears_in_its_water() -> None:
    weak = with_spec(evidence_of(), "delivery", rating_pa=1e5, derating=PE100_DERATING)
    (cool,) = found(weak, "delivery-dead-ended")
    (warm,) = found(with_parts(weak, water_temperature_c=40.0), "delivery-dead-ended")
    assert cool.limit == 1e5
    assert warm.limit == pytest.approx(0.84e5)


def test_metal_bears_the_same_in_the_sun() -> None:
    evidence = with_spec(evidence_of(), "drive", rating_pa=2.6e5)
    evidence = with_parts(evidence, water_temperature_c=60.0)
    assert {kind for kind, _ in told(evidence)} <= {"pressure-near-rating", "pressure-over-rating"}
    assert told(evidence)
    assert dataclasses.asdict(evidence.layout.parts)["water_temperature_c"] == 60.0
