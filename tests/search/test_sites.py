"""Sites: whole blocks are passed over without changing an answer; nothing beaten is shown."""

from __future__ import annotations

import numpy as np
import pytest

from terrain_head.search.blocks import TankCells, best_cells, scan_cells
from terrain_head.search.pareto import unbeaten
from terrain_head.search.sites import SiteGivens, costs_of, rate_sites


@pytest.mark.parametrize("seed", range(50))
def test_blocks_give_the_cell_that_the_whole_scan_gives(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape = (int(rng.integers(5, 70)), int(rng.integers(5, 70)))
    height = np.round(rng.normal(20, 6, shape), int(rng.integers(0, 3)))
    height[rng.random(shape) < 0.2] = np.nan
    cells = TankCells(height_m=height, west_m=-20.0, south_m=5.0, cell_m=2.0)
    spots = np.column_stack(
        [rng.uniform(-30, 120, 8), rng.uniform(-10, 130, 8), rng.uniform(0, 40, 8)]
    )
    reach = float(rng.uniform(10, 200))
    expected = scan_cells(cells, spots, within_m=reach, grade=0.05)
    assert expected.tolist() == best_cells(cells, spots, within_m=reach, grade=0.05).tolist()


@pytest.mark.parametrize("seed", range(30))
def test_what_is_kept_is_what_no_other_beats(seed: int) -> None:
    costs = np.random.default_rng(seed).integers(0, 5, (40, 3)).astype(float)
    expected = [not any(np.all(o <= c) and np.any(o < c) for o in costs) for c in costs]
    assert expected == unbeaten(costs).tolist()


@pytest.mark.parametrize("datum", [0.0, 500.0])
def test_a_datum_changes_no_water(datum: float) -> None:
    ram, tank = np.array([10.0, 12.0]), np.array([40.0, 35.0])
    givens = SiteGivens(water_m=15.0 + datum, flow_m3_s=1e-3, inside_m=0.03, roughness_m=1e-5)
    at = np.arange(2)
    sites = rate_sites(
        givens, ram=at, tank=at, ram_m=ram + datum, tank_m=tank + datum,
        drive_m=np.array([25.0, 15.0]), delivery_m=np.array([100.0, 120.0]),
    )  # fmt: skip
    assert [5.0, 3.0] == pytest.approx(sites.fall_m)
    assert [30.0, 23.0] == pytest.approx(sites.lift_m)
    assert (2, 4) == costs_of(sites).shape
