"""Constants printed in feet and gallons stand in docstrings; each is derived from the units."""

import inspect
import re
from collections.abc import Callable

import pytest

from terrain_head.base.units import from_si, to_si
from terrain_head.formulas import drive_pipe, friction, hydrostatics, loads, sighting, storage

TRADE_WATER = to_si(62.4, "lb") / to_si(1.0, "ft3")


def derived_hazen_williams() -> float:
    """Return feet in 100 feet for 1 gal/min through 1 in at C = 100."""
    loss = friction.hazen_williams_loss_per_metre(
        to_si(1.0, "gal/min"), inside_m=to_si(1.0, "in"), coefficient=100.0
    )
    return 100 * float(loss)


def derived_si_hazen_williams() -> float:
    """Turn the printed constant into SI."""
    gallon, inch = to_si(1.0, "gal/min"), to_si(1.0, "in")
    return float(0.2083 / 100 * 100**1.852 * inch**4.8655 / gallon**1.852)


def derived_tank() -> float:
    """Return the gallons of a tank 1 ft across and 1 ft deep."""
    return from_si(
        float(storage.upright_volume_m3(to_si(1.0, "ft"), depth_m=to_si(1.0, "ft"))), "gal"
    )


def derived_psi_in_a_foot() -> float:
    """Return the pressure under a foot of the trade's water."""
    pressure = hydrostatics.pressure_from_head_pa(to_si(1.0, "ft"), density_kg_m3=TRADE_WATER)
    return from_si(float(pressure), "psi")


def derived_feet_in_a_psi() -> float:
    """Return the head of the trade's water that gives one psi."""
    head = hydrostatics.head_from_pressure_m(to_si(1.0, "psi"), density_kg_m3=TRADE_WATER)
    return from_si(float(head), "ft")


def derived_sight_in_feet() -> float:
    """Return the correction of a sight of 1000 ft."""
    return from_si(float(sighting.curvature_and_refraction_m(to_si(1000.0, "ft"))), "ft")


PRINTED: list[tuple[Callable[..., object], str, Callable[[], float]]] = [
    (friction.hazen_williams_loss_per_metre, "0.2083", derived_hazen_williams),
    (friction.hazen_williams_loss_per_metre, "10.9617", derived_si_hazen_williams),
    (storage.upright_volume_m3, "5.875", derived_tank),
    (hydrostatics.pressure_from_head_pa, "0.433", derived_psi_in_a_foot),
    (hydrostatics.pressure_from_head_pa, "2.31", derived_feet_in_a_psi),
    (sighting.curvature_and_refraction_m, "0.0205", derived_sight_in_feet),
]


@pytest.mark.parametrize(
    ("function", "printed", "derive"), PRINTED, ids=[row[1] for row in PRINTED]
)
def test_a_printed_constant_is_the_one_in_use(
    function: Callable[..., object], printed: str, derive: Callable[[], float]
) -> None:
    assert printed in (inspect.getdoc(function) or "")
    half_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    assert derive() == pytest.approx(float(printed), abs=half_digit)


@pytest.mark.parametrize("module", [drive_pipe, friction, hydrostatics, loads, sighting, storage])
def test_no_conversion_factor_stands_in_a_formula(module: object) -> None:
    """Feet, inches, gallons and pounds are known to the units alone."""
    source = inspect.getsource(module)  # type: ignore[arg-type]
    code = re.sub(r'"""[\s\S]*?"""|#.*', "", source)
    assert not re.findall(r"0\.3048|0\.0254|25\.4|3\.785|6894|6\.894|4\.546|0\.4536|448\.8", code)
