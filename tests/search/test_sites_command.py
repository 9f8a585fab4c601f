"""``terrain-head find sites``: what it says of both kinds of survey."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from terrain_head.cli.main import run

ROD = Path(__file__).parents[2] / "sample_surveys" / "orchard_rod"


def test_the_surveyed_ram_and_tank_are_among_the_sites(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert 0 == run(["find", "sites", str(ROD), "--json"])
    sites = json.loads(capsys.readouterr().out)["sites"]
    assert ("ram", "tank") in [(one["ram"]["name"], one["tank"]["name"]) for one in sites]
    assert all(one["fall"]["value"] < one["lift"]["value"] for one in sites)


def test_the_screen_is_plain_and_narrow(capsys: pytest.CaptureFixture[str]) -> None:
    assert 0 == run(["find", "sites", str(ROD)])
    screen = capsys.readouterr().out
    assert screen.isascii()
    assert max(map(len, screen.splitlines())) <= 79


def test_an_unknown_route_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert 3 == run(["find", "sites", str(ROD), "--along", "brook"])
    assert 'no route "brook"' in capsys.readouterr().err
