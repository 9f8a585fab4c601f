"""docs/sources.md lists each source that is cited, and no other."""

from tests.house.sources import PAGE, page_text


def test_the_page_of_sources_is_what_the_code_cites() -> None:
    assert page_text() == PAGE.read_text("utf-8"), "run: python -m tests.house.sources"
