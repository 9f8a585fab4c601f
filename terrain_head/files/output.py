"""Writing a result: each file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from terrain_head.errors import InputError, Trouble


def write_whole(path: Path | str, content: bytes | str) -> Path:
    """Write a file whole or not at all: under a passing name first, then moved into place.

    Parameters
    ----------
    path
        Where it goes; a folder that is missing is made.
    content
        What it holds; text is written as UTF-8 with plain line ends.

    Returns
    -------
    Path
        The path written.

    Raises
    ------
    InputError
        If the folder or the file can't be written; what stood there before is then untouched.
    """
    target = Path(path)
    data = content.encode("utf-8") if isinstance(content, str) else content
    passing: str | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, passing = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        Path(passing).chmod(0o644)
        Path(passing).replace(target)
    except OSError as error:
        _take_away(passing)
        raise InputError(
            f"Can't write {target}",
            Trouble(
                what=f"The system says: {error.strerror or error}. Choose another place with -o."
            ),
            file=str(target),
            left_alone="Nothing was left half-written.",
        ) from error
    except BaseException:
        _take_away(passing)
        raise
    return target


def _take_away(passing: str | None) -> None:
    """Take away what was begun under the passing name."""
    if passing is not None:
        with suppress(OSError):
            Path(passing).unlink()
