"""Bad news that stops the work.

::

    TerrainHeadError              1   a fault of the program, if nothing more exact is said
    |-- UsageError                2   the command's words do not fit together
    |-- InputError (ValueError)   3   a file is wrong or missing
    |-- SurveyError               4   the survey cannot be reduced, the ground cannot be had
    |   |-- ReductionError            a level book that gives no elevations
    |   `-- GroundError               a route off the raster, a void, no shared datum
    `-- RangeError (ValueError)   5   a relation asked beyond its published range

The number is the exit code of the command. Each error carries a headline, the troubles it is made
of (all that could be found at once) and a last sentence that says what was left alone. A trouble
says what was found and what to write instead; ``str(error)`` is the whole message, plain ASCII,
at most 79 columns.

The commands check values as they read them and tell of what lies beyond a published table in a
finding: `RangeError` is for programs that call the formulas with numbers of their own.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

__all__ = [
    "WIDTH",
    "GroundError",
    "InputError",
    "RangeError",
    "ReductionError",
    "SurveyError",
    "TerrainHeadError",
    "Trouble",
    "UsageError",
    "together",
]

WIDTH = 79
"""Columns of everything that is printed."""
NOTHING_DONE = "Nothing was computed; your files are as they were."


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """One thing that is wrong, and its cure.

    Parameters
    ----------
    what
        What was found, one or two sentences.
    write
        What to write instead, as it would stand in the file; may hold several lines.
    line
        Line of the file, counted from 1.
    excerpt
        That line as it stands.
    mark
        Where the mark goes under the excerpt: first column counted from 0, and width.
    """

    what: str
    write: str = ""
    line: int | None = None
    excerpt: str | None = None
    mark: tuple[int, int] | None = None


class TerrainHeadError(Exception):
    """The root of all errors that a person is meant to read.

    Parameters
    ----------
    headline
        What could not be done, and where: one sentence.
    troubles
        The things that are wrong, in the order of the file.
    file
        Name of the file, if one is at fault.
    left_alone
        What was left as it was.
    """

    exit_code: ClassVar[int] = 1

    def __init__(
        self,
        headline: str,
        *troubles: Trouble,
        file: str | None = None,
        left_alone: str = NOTHING_DONE,
    ) -> None:
        super().__init__(headline)
        self.headline = headline
        self.troubles = troubles
        self.file = file
        self.left_alone = left_alone

    def __str__(self) -> str:
        """Return the whole message."""
        parts = [_wrap(self.headline)]
        parts += [_trouble_text(trouble) for trouble in self.troubles]
        if self.left_alone:
            parts.append(_wrap(self.left_alone))
        return "\n\n".join(parts)


class UsageError(TerrainHeadError):
    """The command's words do not fit together."""

    exit_code = 2


class InputError(TerrainHeadError, ValueError):
    """A file is wrong or missing."""

    exit_code = 3


class SurveyError(TerrainHeadError):
    """The survey cannot be reduced, or the ground cannot be had."""

    exit_code = 4


class ReductionError(SurveyError):
    """A level book that gives no elevations."""


class GroundError(SurveyError):
    """The ground cannot be had: a route off the raster, a void, no shared datum."""


class RangeError(TerrainHeadError, ValueError):
    """A relation was asked beyond its published range and nothing else gives the figure."""

    exit_code = 5


def together(
    wrong: Sequence[TerrainHeadError], *, headline: str = "The ground can't be had yet"
) -> TerrainHeadError:
    """Return one error for several, of the kind of the first; each told once.

    Parameters
    ----------
    wrong
        The errors, one at least.
    headline
        What could not be done, where there are several.

    Examples
    --------
    >>> print(together([InputError("No spring."), InputError("No map.")], headline="Not yet"))
    Not yet: 2 troubles.
    <BLANKLINE>
      No spring.
    <BLANKLINE>
      No map.
    <BLANKLINE>
    Nothing was computed; your files are as they were.
    """
    errors = list({str(error): error for error in wrong}.values())
    if len(errors) == 1:
        return errors[0]
    troubles = []
    for error in errors:
        for number, trouble in enumerate(error.troubles or (Trouble(what=""),)):
            what = f"{error.headline} {trouble.what}".strip() if number == 0 else trouble.what
            troubles.append(replace(trouble, what=what))
    return type(errors[0])(f"{headline}: {len(errors)} troubles.", *troubles)


def _wrap(text: str, indent: str = "", first: str | None = None) -> str:
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _trouble_text(trouble: Trouble) -> str:
    label = f"line {trouble.line}" if trouble.line is not None else ""
    indent = " " * 11
    first = f"  {label:<9}" if label else "  "
    lines = [_wrap(trouble.what, indent if label else "  ", first)]
    if trouble.excerpt is not None:
        number = f"{trouble.line} | " if trouble.line is not None else "| "
        lines.append(f"  {number}{trouble.excerpt}")
        if trouble.mark is not None:
            column, width = trouble.mark
            lines.append("  " + " " * (len(number) + column) + "^" * max(width, 1))
    if trouble.write:
        cure = trouble.write.splitlines()
        lines.append(f"  Write    {cure[0]}")
        lines += [f"           {line}" for line in cure[1:]]
    return "\n".join(lines)
