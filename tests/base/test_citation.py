"""A citation reads as a person would write it."""

from __future__ import annotations

from terrain_head.base.citation import NO_YEAR, UNNAMED, Source

SHEET = Source(key="a-sheet", author=UNNAMED, title="Sheet on springs", year=NO_YEAR)


def test_what_a_work_does_not_give_is_left_out() -> None:
    assert str(SHEET.at("table 2")) == "Sheet on springs, table 2"
    assert str(SHEET.at("")) == "Sheet on springs"


def test_author_year_place_and_how_it_was_had_are_said() -> None:
    book = Source(
        key="a-book", author="A. Author", title="Levels", year="1911", obtained="read in a copy"
    )
    assert str(book.at("p. 3")) == "A. Author, Levels, 1911, p. 3 (read in a copy)"
