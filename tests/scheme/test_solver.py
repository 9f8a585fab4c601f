"""The one solver, on a ram with a tank and outlets."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fluids.friction import friction_factor
from scipy.optimize import brentq

from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solver import solve
from tests.scheme.hills import ram_hill, ram_parts

G = 9.80665
WATER = Water.at(10.0)


def loss_m(flow: float, *, length: float, bore: float, k: float, roughness: float) -> float:
    """Darcy and Weisbach with the friction factor of an independent library."""
    speed = 4 * flow / (math.pi * bore**2)
    reynolds = speed * bore / WATER.viscosity_m2_s
    f = 64 / reynolds if reynolds < 2000 else friction_factor(Re=reynolds, eD=roughness / bore)
    return (f * length / bore + k) * speed**2 / (2 * G)


def test_the_ram_lifts_what_the_raw_equation_says() -> None:
    """Fall 100 - 97.2; lift 118 + 3 + 1.6 - 97.2; 30 L/min at 58 %, by an independent root."""
    parts = ram_parts()
    layout = lay_out(parts, ground=ram_hill(parts))
    ram = solve(layout).ram
    assert ram is not None
    stations = np.linspace(0.0, 180.0, 6)
    heights = np.array([97.0, 103.0, 110.0, 109.0, 115.0, 118.0])
    along = float(np.sum(np.hypot(np.diff(stations), np.diff(heights))))
    length = along + (97.2 - 96.6) + (122.6 - 117.6)
    gate = float(layout.pipes["delivery"].loss_coefficient)

    def surplus(flow: float) -> float:
        loss = loss_m(flow, length=length, bore=0.026, k=gate + 1.5, roughness=7e-6)
        return flow * (25.4 + loss) - 0.58 * 5e-4 * 2.8

    expected = brentq(surplus, 1e-9, 5e-4, xtol=1e-16)
    assert float(ram.fall_m) == pytest.approx(2.8, abs=1e-12)
    assert ram.lift_m is not None
    assert float(ram.lift_m) == pytest.approx(25.4, abs=1e-12)
    assert ram.delivered_m3_s is not None
    assert float(ram.delivered_m3_s) == pytest.approx(expected, rel=1e-9)
