"""Which pipes of the table a text may mean: the one, or what to look for on the pipe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from terrain_head.base.quantities import QuantityError
from terrain_head.files.pipe_words import PipeWords, plain_words, sort_words
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_table import MATERIALS, PIPE_TABLE, PipeSize

TABLE_EXAMPLE = 'spec = { inside = "26 mm", rating = "16 bar", material = "PE" }'
_EXAMPLE = 'spec = "PE100 ISO 4427 32 mm SDR 11"'
_FAMILY_EXAMPLE = 'spec = "smallest PE100 ISO 4427 SDR 11"'
_SAME_SIZE_M = 1e-6
_SAME_WALL_M = 0.06e-3
_ABOUT = 0.05
_MOST_LINES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A pipe that a text may mean.

    Parameters
    ----------
    row
        The row of the table.
    code
        The material code of its print, where said or where a rating tells it.
    rating_pa
        A rating that the text states and the row leaves open [Pa].
    """

    row: PipeSize
    code: str | None = None
    rating_pa: float | None = None

    @property
    def label(self) -> str:
        """The pipe in one line, as it is written in a study file."""
        return self.row.coded(self.code)

    @property
    def family(self) -> str:
        """The pipe without its size: ``PE100 ISO 4427 SDR 11``."""
        return " ".join(self.label.replace(f" {self.row.size} ", " ", 1).split())

    @property
    def bears_pa(self) -> float | None:
        """What it bears, None where that is not known [Pa]."""
        return self.spec().rating_pa

    def spec(self) -> PipeSpec:
        """Return the pipe to lay."""
        return self.row.spec(rating_pa=self.rating_pa, code=self.code)


def find_candidate(text: str) -> Candidate:
    """Return the one pipe of the table that a text means.

    Parameters
    ----------
    text
        As a person wrote it; order, capitals, hyphens and words like "black" do not matter.

    Raises
    ------
    QuantityError
        If it means none, or may mean more than one, or does not say which wall. The cure lists
        what to write.

    Examples
    --------
    >>> find_candidate("1 in poly SIDR 15, PE3408").label
    'PE3608 ASTM D2239 1 in SIDR 15'
    """
    if plain_words(text) in {"", "?"}:
        raise QuantityError(f"{text!r} is still blank; a pipe is wanted.", _EXAMPLE)
    words = sort_words(text)
    if words.not_here is not None:
        raise _not_here(words)
    rows = _rows_of(words)
    if not rows and not words.says_what and words.size_m is not None:
        raise _unknown(f"{text!r} does not say what pipe it is.", _nearest(text))
    if not rows:
        raise _unknown(f"no pipe of the table is {text!r}.", _nearest(text))
    sized = _sized(words, rows)
    graded = [row for row in sized if _grade_fits(row, words.grade)]
    if words.wall_m is not None:
        graded = [row for row in graded if abs(row.wall_m - words.wall_m) < _SAME_WALL_M] or graded
    if not graded:
        raise _unknown(f"{words.grade_words!r} in {text!r} is not in the table.", sized)
    found = _rated([Candidate(row=row, code=words.code) for row in graded], words)
    if not found:
        others = _rated([Candidate(row=row) for row in sized], words)
        raise _misrated(words, graded, others=others)
    told = (words.grade, words.pressure_pa, words.wall_m) != (None, None, None)
    if len(found) == 1 and told and not _wants_name(found[0].row, words):
        return found[0]
    raise _ambiguous(words, found)


def find_family(text: str) -> tuple[Candidate, ...]:
    """Return all sizes of the one kind of pipe that a text means, the narrowest first.

    Parameters
    ----------
    text
        A pipe without its size: ``PE100 ISO 4427 SDR 11``, ``PVC class 200``.

    Raises
    ------
    QuantityError
        If it names a size, means no pipe of the table, or may mean more than one kind. The cure
        lists what to write.

    Examples
    --------
    >>> [one.row.size for one in find_family("PE100 SDR 11")][:3]
    ['20 mm', '25 mm', '32 mm']
    """
    words = sort_words(text)
    if words.not_here is not None:
        raise _not_here(words)
    if words.size_m is not None:
        raise QuantityError(
            f"{text!r} names a size, {words.size_words}: a size that is chosen is left out.",
            _FAMILY_EXAMPLE,
        )
    rows = [row for row in _rows_of(words) if _grade_fits(row, words.grade)]
    found = _rated([Candidate(row=row, code=words.code) for row in rows], words)
    if not found:
        raise QuantityError(
            f"no kind of pipe in the table is {text!r}. 'terrain-head pipes' lists them.",
            _FAMILY_EXAMPLE,
        )
    kinds = list(dict.fromkeys(one.family for one in found))
    if len(kinds) > 1:
        raise QuantityError(
            f"{text!r} may be more than one kind of pipe. Write the one that you can buy.",
            "\n".join(f'spec = "smallest {kind}"' for kind in kinds[:_MOST_LINES]),
        )
    return tuple(sorted(found, key=lambda one: one.row.inside_m))


def _wants_name(row: PipeSize, words: PipeWords) -> bool:
    """Return whether the text leaves open which polyethylene it is, where that is the rating."""
    return row.standard == "ISO 4427" and words.name is None and not words.strong


def _rows_of(words: PipeWords) -> list[PipeSize]:
    """Return the rows that are made of what the text says, to the standard that it says."""
    if not words.says_what:
        return []
    rows = list(PIPE_TABLE)
    if words.standard is not None:
        rows = [row for row in rows if row.standard == words.standard]
    if words.name is not None:
        rows = [row for row in rows if row.name == words.name]
    elif words.strong:
        rows = [row for row in rows if row.name != "PE80"]
    if words.code is not None:
        rows = [row for row in rows if words.code in row.codes]
    if words.zinc:
        coated = MATERIALS["galvanized steel"]
        rows = [
            replace(row, material=coated, name=coated.name) for row in rows if row.material.rigid
        ]
    elif words.material is not None:
        rows = [row for row in rows if row.material is words.material]
    if words.zinc and words.material is not None and not words.material.rigid:
        return []
    return rows


def _sized(words: PipeWords, rows: list[PipeSize]) -> list[PipeSize]:
    size = words.size_m
    if size is None:
        raise _unknown(
            f"{words.text!r} names no size; with smallest before it one is chosen.", rows[:3]
        )
    sized = [
        row
        for row in rows
        if any(abs(each - size) < _SAME_SIZE_M for each in (row.nominal_m, *row.other_sizes_m))
    ]
    if not sized:
        near = sorted(rows, key=lambda row: abs(row.nominal_m - size))
        graded = [row for row in near if words.grade is None or _grade_fits(row, words.grade)]
        raise _unknown(
            f"no pipe of {words.size_words} is in the table for {words.text!r}.",
            (graded or near)[:3],
        )
    return sized


def _grade_fits(row: PipeSize, grade: str | None) -> bool:
    # DR and SDR are two words for one ratio; SIDR is another.
    return grade is None or row.grade.replace("SDR", "DR") == grade


def _rated(candidates: Sequence[Candidate], words: PipeWords) -> list[Candidate]:
    """Return the candidates that bear about what the text says, with the code that tells it."""
    wanted = words.pressure_pa
    if wanted is None:
        return list(candidates)
    found = []
    for one in candidates:
        codes = [code for code in one.row.codes if one.code in {None, code}]
        tried = [replace(one, code=code) for code in codes] or [one]
        if words.grade is not None and words.metal and one.row.most_pa is None:
            tried = [replace(one, rating_pa=wanted)]
        found += [
            each
            for each in tried
            if each.bears_pa is not None and abs(each.bears_pa - wanted) <= _ABOUT * wanted
        ]
    return found


def _nearest(text: str) -> list[PipeSize]:
    words = set(plain_words(text).replace('"', " in").split())
    return sorted(PIPE_TABLE, key=lambda row: -len(words & set(row.label.lower().split())))[:3]


def _lines(labels: Sequence[str]) -> str:
    shown = list(dict.fromkeys(labels))[:_MOST_LINES]
    return "\n".join(f'spec = "{label}"' for label in shown)


def _unknown(what: str, near: Sequence[PipeSize]) -> QuantityError:
    return QuantityError(
        f"{what} 'terrain-head pipes' lists them; any other pipe is given by its inside.",
        f"{_lines([row.label for row in near])}\n{TABLE_EXAMPLE}",
    )


def _not_here(words: PipeWords) -> QuantityError:
    return QuantityError(
        f"{words.text!r}: the table holds no {words.not_here} pipe; give it by its inside.",
        f'spec = {{ inside = "...", rating = "...", material = "{words.not_here}", '
        'roughness = "..." }',
    )


def _misrated(
    words: PipeWords, rows: Sequence[PipeSize], *, others: Sequence[Candidate]
) -> QuantityError:
    """Return the error for a rating that no wall of this size has, or not the one that is said."""
    text, said = words.text, words.pressure_words
    if words.grade is None:
        return QuantityError(
            f"{text!r} does not say which wall it has, and none of this size bears {said}. The "
            f"table holds {_grades(rows)}; look along the pipe for that print and copy it.",
            _lines([row.label for row in rows]),
        )
    own = [f'spec = {{ standard = "{row.label}", rating = "..." }}' for row in rows[:3]]
    return QuantityError(
        f"{text!r}: {rows[0].grade} of this size does not bear {said} by the table. Look again at "
        "the print; where it does say both, write the rating by itself.",
        "\n".join([*(_lines([one.label]) for one in others), *own]),
    )


def _ambiguous(words: PipeWords, found: Sequence[Candidate]) -> QuantityError:
    text = words.text
    cure = _lines([one.label for one in found])
    if words.pressure_pa is not None:
        bears = "each bears" if len(found) > 1 else "it bears"
        return QuantityError(
            f"{text!r} may be {_either(found)}: {bears} about {words.pressure_words}. "
            f"Look along the pipe for {_prints(found)}, and copy both.",
            cure,
        )
    if words.grade is not None or words.wall_m is not None:
        return QuantityError(
            f"{text!r} may be {_either(found)}. Look along the pipe for which it says, and copy "
            "it.",
            cure,
        )
    return QuantityError(
        f"{text!r} does not say which wall it has. The table holds "
        f"{_grades([one.row for one in found])} of this size; look along the pipe for that print "
        "and copy it.",
        cure,
    )


def _grades(rows: Sequence[PipeSize]) -> str:
    one_name = len({row.name for row in rows}) == 1
    return ", ".join(
        dict.fromkeys(row.grade if one_name else f"{row.name} {row.grade}" for row in rows)
    )


def _either(found: Sequence[Candidate]) -> str:
    one_standard = len({one.row.standard for one in found}) == 1
    named = [
        f"{one.row.grade} of {one.code or one.row.name}"
        + ("" if one_standard else f" to {one.row.standard}")
        for one in found
    ][:_MOST_LINES]
    return ", ".join(named[:-1]) + f" or {named[-1]}" if len(named) > 1 else named[0]


def _prints(found: Sequence[Candidate]) -> str:
    kinds = list(dict.fromkeys(one.row.grade.split()[0] for one in found))
    names = "PE" if all(one.code for one in found) else "of the material"
    return f"the print {' or '.join(kinds)} and the print {names}"
