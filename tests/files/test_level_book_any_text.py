"""Whatever a file holds, the reader gives a book or says what is wrong; it never breaks."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.errors import TerrainHeadError
from terrain_head.files.level_book import COLUMNS, read_level_books
from terrain_head.leveling.reduce import reduce_book

_MANY = settings(max_examples=150, deadline=None)
_CELLS = st.sampled_from(
    ["", "", "A", "B", "BM", "1", "1.432", "-0.5", "4-0-5/8", "4 ft 0-5/8 in", "8-May", "nan",
     "1+25", "0+125", "1,5", "100", "1e9", '"', "'", "#", "1/0", "4-1/0", "9" * 20, "x\u00fc"]
)  # fmt: skip
_HEADS = st.sampled_from(
    [
        *COLUMNS,
        "bs [ft]",
        "fs [m]",
        "is [ft-in]",
        "rod [mm]",
        "elevation [m]",
        "sky",
        "bs [",
        "",
        "]",
    ]
)


def _never_breaks(content: bytes) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.csv"
        path.write_bytes(content)
        told: TerrainHeadError | None = None
        heights = np.zeros(0)
        try:
            heights = reduce_book(read_level_books([path], unit="m")).elevation_m
        except TerrainHeadError as error:
            told = error
        assert np.all(np.isfinite(heights))
        assert told is None or told.exit_code in {3, 4}
        assert all(len(line) <= 79 or "|" in line for line in str(told).splitlines())


@_MANY
@given(content=st.binary(max_size=300))
def test_any_bytes(content: bytes) -> None:
    _never_breaks(content)


@_MANY
@given(
    heads=st.lists(_HEADS, min_size=1, max_size=6),
    rows=st.lists(st.lists(_CELLS, max_size=7), max_size=8),
    separator=st.sampled_from([",", ";", "\t"]),
)
def test_any_sheet(heads: list[str], rows: list[list[str]], separator: str) -> None:
    lines = [separator.join(row) for row in [heads, *rows]]
    _never_breaks("\n".join(lines).encode("utf-8"))


@_MANY
@given(
    rows=st.lists(
        st.tuples(st.sampled_from(["A", "B", "C", "D"]), _CELLS, _CELLS, _CELLS, _CELLS),
        max_size=8,
    )
)
def test_any_rows_of_points(rows: list[tuple[str, ...]]) -> None:
    lines = ["point,bs,is,fs,elevation", *(",".join(row) for row in rows)]
    _never_breaks("\n".join(lines).encode("utf-8"))


@_MANY
@given(
    rows=st.lists(
        st.tuples(
            st.sampled_from(["1", "2", "3"]),
            st.sampled_from(["A", "B", "C", "D"]),
            st.sampled_from(["1.0", "2.5", "-1", "0"]),
            st.sampled_from(["", "", "", "100"]),
        ),
        max_size=12,
    )
)
def test_any_rows_of_set_ups_are_reduced_or_refused(rows: list[tuple[str, ...]]) -> None:
    lines = ["setup,point,rod [m],elevation", *(",".join(row) for row in rows)]
    _never_breaks("\n".join(lines).encode("utf-8"))
