"""``terrain-head find route``: what it says and writes, and that a study can use what it wrote."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from terrain_head.base.units import US
from terrain_head.cli.main import run
from terrain_head.files.maps import read_maps
from terrain_head.plots.route_sheet import routes_plan_figure, routes_profile_figure
from terrain_head.report.route_document import route_document
from terrain_head.report.route_screen import route_screen
from terrain_head.search.route_options import RouteAnswer
from terrain_head.workflows.find_route import (
    MOST_SEARCHED,
    RouteAsked,
    find_route,
    mesh_between,
)
from terrain_head.workflows.study import answer_choice, open_study
from tests.plots.readable import troubles

SAMPLES = Path(__file__).parents[2] / "sample_surveys"
VALLEY = SAMPLES / "valley_raster"
HILL = SAMPLES / "hill_farm_both"

Capture = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def valley() -> RouteAnswer:
    return find_route(open_study(VALLEY), RouteAsked(start="ram", end="tank"))


def copied(folder: Path, to: Path) -> Path:
    for path in folder.iterdir():
        if path.is_file():
            shutil.copy(path, to / path.name)
    return to / "study.toml"


def test_in_the_valley_the_pipe_goes_round_the_hump(valley: RouteAnswer) -> None:
    best, straight = valley.options[0], valley.straight
    assert straight is not None
    assert ("ram", "knoll") == (valley.start, valley.end)
    assert not best.turns.told("high")
    assert straight.turns.told("high")
    assert best.cost_m < straight.cost_m
    assert best.lost_climb_m < 0.5 * straight.lost_climb_m
    assert 1 < best.legs <= 4


def test_lengths_and_heights_are_those_of_a_profile_along_the_written_route(
    valley: RouteAnswer,
) -> None:
    best = valley.options[0]
    level = np.hypot(*np.diff(best.corners_m, axis=0).T).sum()
    assert level == pytest.approx(best.profile.plan_length_m, abs=1e-6)
    assert best.profile.slope_length_m >= level
    middle = best.corners_m[1]
    found = float(valley.grid.sample(*middle))
    at = int(np.argmin(np.hypot(best.profile.east_m - middle[0], best.profile.north_m - middle[1])))
    assert found == pytest.approx(best.profile.elevation_m[at], abs=1e-6)


def test_the_screen_answers_first_and_stays_narrow(valley: RouteAnswer) -> None:
    for answer in (valley, replace(valley, units=US)):
        screen = route_screen(answer, written="plan.png", study="study-results/routes.geojson")
        assert all(len(line) <= 79 for line in screen.splitlines())
        assert screen.isascii()
        flat = " ".join(screen.split())
        assert "From ram to knoll the pipe best goes" in flat
        assert "climb lost again" in flat
        assert "Ask whose land it is" in flat
        assert 'map = [..., "study-results/routes.geojson"]' in flat
        assert 'route = "ram to knoll 1"' in flat
        assert "nan" not in flat


def test_the_page_shows_the_screen_as_it_is(valley: RouteAnswer) -> None:
    page = (SAMPLES.parent / "docs" / "finding.md").read_text("utf-8")
    shown = next(block for block in page.split("```") if block.startswith("\nFrom ram to knoll"))
    screen = route_screen(valley)
    assert all(line in screen.splitlines() for line in shown.strip().splitlines())


def test_pictures_can_be_read(valley: RouteAnswer) -> None:
    assert troubles(routes_plan_figure(valley)) == []
    assert troubles(routes_profile_figure(replace(valley, units=US))) == []


def test_the_document_is_metric_and_whole(valley: RouteAnswer) -> None:
    document = json.loads(json.dumps(route_document(valley), allow_nan=False))
    first, second = document["routes"]
    assert "m" == first["length"]["unit"]
    assert first["cost"]["value"] < second["cost"]["value"]
    assert len(first["corners"]["east"]) == valley.options[0].legs + 1
    assert document["straight"]["may_be"] is True
    assert second["elsewhere"] >= 0.4


def test_a_written_route_is_used_by_a_pipe_of_the_study(tmp_path: Path, capsys: Capture) -> None:
    path = copied(VALLEY, tmp_path)
    assert 0 == run(["find", "route", str(path), "--from", "ram", "--to", "tank"])
    out = capsys.readouterr().out
    text = path.read_text("utf-8")
    wanted = 'map = ["map.geojson", "study-results/routes.geojson"]'
    assert "study-results/routes.geojson" in out
    text = text.replace('map = "map.geojson"', wanted)
    text = text.replace('route = "over the hump"', 'route = "ram to knoll 1"')
    path.write_text(text, "utf-8")
    answer = answer_choice(open_study(path), draws=0)
    pipe = answer.layout.pipes["delivery"]
    assert "ram to knoll 1" == pipe.profile.route
    found = find_route(open_study(path), RouteAsked(start="ram", end="tank"), most=1).options[0]
    assert found.profile.plan_length_m == pytest.approx(pipe.profile.plan_length_m, abs=0.01)
    assert not answer.ground.joins


def test_routes_of_other_places_stay_in_the_map(tmp_path: Path, capsys: Capture) -> None:
    path = copied(HILL, tmp_path)
    out = tmp_path / "out"
    assert 0 == run(["find", "route", str(path), "--from", "ram", "--to", "tank", "-o", str(out)])
    before = read_maps([out / "routes.geojson"], crs=None).routes
    gravity = ["--from", "tank", "--to", "barn", "--kind", "gravity", "--grade", "1 %"]
    assert 0 == run(["find", "route", str(path), *gravity, "-o", str(out)])
    after = read_maps([out / "routes.geojson"], crs=None).routes
    assert "falling by 1 % or more all the way" in " ".join(capsys.readouterr().out.split())
    assert "shelf to barn falling 1" in after
    for name, corners in before.items():
        np.testing.assert_array_equal(corners, after[name])
    assert (out / "route-ram-to-shelf-plan.svg").exists()
    assert (out / "route-shelf-to-barn-profile.png").exists()


def test_where_straight_is_best_no_map_is_needed() -> None:
    answer = find_route(open_study(HILL), RouteAsked(start="ram", end="tank"), most=1)
    screen = " ".join(route_screen(answer, written="plan.png").split())
    assert "in one straight line" in screen
    assert 'write route = "straight" in the pipe' in screen
    assert "No other way was found that is really different" in screen
    assert answer.shown == answer.options


def test_json_prints_one_document_and_writes_nothing(tmp_path: Path, capsys: Capture) -> None:
    path = copied(HILL, tmp_path)
    before = sorted(tmp_path.iterdir())
    words = ["find", "route", str(path), "--from", "source", "--to", "garden", "--json"]
    assert 0 == run(words)
    document = json.loads(capsys.readouterr().out)
    assert ("seep", "garden") == (document["from"], document["to"])
    assert before == sorted(tmp_path.iterdir())
    assert 0 == run([*words, "-o", str(tmp_path / "out")])
    assert (tmp_path / "out" / "routes.geojson").exists()


@pytest.mark.parametrize(
    ("folder", "words", "code", "said"),
    [
        (VALLEY, ["--from", "ramm", "--to", "tank"], 3, "no place of this study. Nearest: 'ram'"),
        (VALLEY, ["--from", "ram", "--to", "ram"], 3, "stand at one spot"),
        (
            VALLEY,
            ["--from", "ram", "--to", "tank", "--kind", "gravity"],
            4,
            '--from "knoll" --to "ram"',
        ),
        (
            VALLEY,
            ["--from", "tank", "--to", "house", "--kind", "gravity", "--grade", "9 %"],
            4,
            "keeps falling by 9 %",
        ),
        (
            VALLEY,
            ["--from", "ram", "--to", "tank", "--kind", "gravity", "--grade", "steep"],
            2,
            "--grade can't be used",
        ),
        (VALLEY, ["--from", "ram", "--to", "tank", "--grade", "120 %"], 2, "less than 100 %"),
        (SAMPLES / "orchard_rod", ["--from", "ram", "--to", "tank"], 4, "no elevation raster"),
        (VALLEY, ["--from", "ram"], 2, "--to"),
    ],
)
def test_what_cannot_be_had_is_said(
    folder: Path, words: list[str], code: int, said: str, capsys: Capture
) -> None:
    assert code == run(["find", "route", str(folder), *words])
    error = " ".join(capsys.readouterr().err.split())
    assert said in error


def test_find_without_a_job_lists_the_jobs(capsys: Capture) -> None:
    assert 0 == run(["find", "--help"])
    assert "route" in capsys.readouterr().out
    assert 2 == run(["find", "pump"])


def test_a_place_without_a_position_is_told(tmp_path: Path, capsys: Capture) -> None:
    path = copied(HILL, tmp_path)
    assert 4 == run(["find", "route", str(path), "--from", "CP1", "--to", "tank"])
    assert "has no position" in capsys.readouterr().err


def test_a_barred_belt_turns_the_route_away_and_a_barred_end_is_refused() -> None:
    opened = open_study(VALLEY)
    asked = RouteAsked(start="ram", end="tank")
    free = find_route(opened, asked, most=1)
    mesh = mesh_between(free.options[0].corners_m[[0, -1]], cell_m=free.grid.cell_m)
    at = mesh.row_column(free.options[0].corners_m)[1]
    rows, columns = np.indices(mesh.shape)
    barred = np.hypot(rows - at[0], columns - at[1]) < 12
    turned = find_route(opened, asked, most=1, keep_off=lambda _: barred)
    assert turned.options[0].cost_m > free.options[0].cost_m
    under = np.rint(
        mesh.row_column(
            np.column_stack([turned.options[0].profile.east_m, turned.options[0].profile.north_m])
        )
    ).astype(int)
    assert not barred[under[:, 0], under[:, 1]].any()
    straight = turned.straight
    assert straight is not None
    middle = mesh.row_column(straight.corners_m).mean(axis=0)
    across = np.hypot(rows - middle[0], columns - middle[1]) < 10
    round_it = find_route(opened, asked, most=1, keep_off=lambda _: across)
    screen = " ".join(route_screen(round_it, written="plan.png").split())
    assert "against the straight line" not in screen
    assert "The straight line may not be laid: it crosses what is kept off" in screen
    document = route_document(round_it)
    assert document["straight"]["cost"] is None
    assert document["straight"]["may_be"] is False
    across = np.abs(columns - columns.mean()) < 3
    with pytest.raises(Exception, match="No way leads from ram to knoll"):
        find_route(opened, asked, most=1, keep_off=lambda _: across)
    with pytest.raises(Exception, match="No route can begin or end at ram"):
        find_route(opened, asked, most=1, keep_off=lambda _: ~across)


def test_a_long_stretch_of_land_is_searched_in_larger_cells() -> None:
    mesh = mesh_between(np.array([[0.0, 0.0], [4000.0, 3000.0]]), cell_m=1.0)
    assert 0.9 * MOST_SEARCHED < mesh.shape[0] * mesh.shape[1] < 1.1 * MOST_SEARCHED
    corners = mesh.points_m(np.array([[0.0, 0.0], [2.0, 5.0]]))
    np.testing.assert_allclose(mesh.row_column(corners), [[0, 0], [2, 5]], atol=1e-9)
