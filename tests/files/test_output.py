"""A file is written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.errors import InputError
from terrain_head.files.output import write_whole


def test_text_and_bytes_are_written_and_folders_made(tmp_path: Path) -> None:
    text = write_whole(tmp_path / "new" / "a.txt", "h\u00f6he\n")
    data = write_whole(str(tmp_path / "b.bin"), b"\x00\x01")
    assert text.read_bytes() == "h\u00f6he\n".encode()
    assert data.read_bytes() == b"\x00\x01"
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["a.txt", "b.bin", "new"]


def test_what_stood_there_is_replaced_whole(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "a long first text")
    write_whole(tmp_path / "a.txt", "short")
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "short"


def test_where_nothing_can_be_written_nothing_is_left(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    for target in (tmp_path / "taken", tmp_path / "file" / "below.txt"):
        with pytest.raises(InputError, match="Can't write"):
            write_whole(target, "text")
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["file", "taken"]
    assert (tmp_path / "file").read_text(encoding="utf-8") == "kept"
