"""The job of reducing: its steps agree with each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.errors import InputError, ReductionError
from terrain_head.workflows.reduce import reduce_level_books

_BOOK = "point,bs,is,fs,elevation\nBM,4,,,100\nA,,5,,\nBM,,,4.01,\n"


def test_options_reach_the_book(tmp_path: Path) -> None:
    path = tmp_path / "book.csv"
    path.write_text(_BOOK, encoding="utf-8")
    other = tmp_path / "heights.csv"
    other.write_text("from,to,rise,give_or_take\nBM,hut,2,0.1\n", encoding="utf-8")
    reduced = reduce_level_books(
        [path], unit="ft", rod="direct", reading_std_m=0.002, angle_std_rad=1e-5, heights=other
    )
    assert reduced.book.rod == "direct"
    assert reduced.book.angle_std_rad == 1e-5
    assert reduced.elevations.of("hut") == pytest.approx(102 * 0.3048)
    assert reduced.elevations.of("A") > 100 * 0.3048


def test_a_wrong_file_and_a_loose_part_are_two_kinds_of_error(tmp_path: Path) -> None:
    path = tmp_path / "book.csv"
    path.write_text(_BOOK, encoding="utf-8")
    with pytest.raises(InputError):
        reduce_level_books([path])
    path.write_text(_BOOK + "X,1,,,\nY,,,2,\n", encoding="utf-8")
    with pytest.raises(ReductionError, match="tied to nothing"):
        reduce_level_books([path], unit="m")


def test_many_loose_parts_are_listed_shortly(tmp_path: Path) -> None:
    path = tmp_path / "book.csv"
    rows = "".join(f"p{i},,1,,\n" for i in range(12))
    path.write_text(_BOOK + f"X,1,,,\n{rows}Y,1,,,\nZ,,,1,\n", encoding="utf-8")
    with pytest.raises(ReductionError) as caught:
        reduce_level_books([path], unit="m")
    told = " ".join(str(caught.value).split())
    assert "2 parts of the survey" in told
    assert "X, p0, p1, p2, p3, p4, p5, p6 and 5 more" in told
