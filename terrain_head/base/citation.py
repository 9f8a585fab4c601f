"""Where a number was read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Obtained = Literal[
    "read", "read in a copy", "computed", "from memory", "common practice, no source", "ours"
]
"""How the number came to us.

``read``: in the work named. ``read in a copy``: in a reprint, scrape or retyped copy of it.
``computed``: worked out from it, not printed.
``from memory``: not read. ``ours``: a convention of this project.
"""

NO_YEAR = "no year"
UNNAMED = "unnamed"
"""What stands for a year or an author that a work does not give."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A published work (or the plain word that there is none).

    Parameters
    ----------
    key
        Short name, unique in the project; the anchor in docs/sources.md.
    author
        Author or agency, or "unnamed".
    title
        Title of the work.
    year
        Year as printed, or "no year".
    obtained
        How its numbers came to us.
    """

    key: str
    author: str
    title: str
    year: str
    obtained: Obtained = "read"

    def at(self, where: str, *, obtained: Obtained | None = None) -> Citation:
        """Return the citation of one place in this work.

        Parameters
        ----------
        where
            Page, table, equation.
        obtained
            How the numbers of this place came to us, None where as those of the work.
        """
        return Citation(source=self, where=where, obtained=obtained or self.obtained)


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """One place in a source, and how its numbers came to us."""

    source: Source
    where: str = ""
    obtained: Obtained = "read"

    def __str__(self) -> str:
        """Return the citation as a person reads it: what is not known of it is left out."""
        source = self.source
        if source.obtained == "common practice, no source":
            return "common practice, no source"
        if source.obtained == "ours":
            return f"terrain_head, {self.where or source.title}"
        said = (source.author, source.title, source.year, self.where)
        parts = [part for part in said if part not in _NOT_SAID]
        return ", ".join(parts) + ("" if self.obtained == "read" else f" ({self.obtained})")


_NOT_SAID = {"", NO_YEAR, UNNAMED}

COMMON_PRACTICE = Source(
    key="common-practice",
    author="",
    title="common practice, no source",
    year="",
    obtained="common practice, no source",
)
OURS = Source(key="ours", author="terrain_head", title="own convention", year="", obtained="ours")
