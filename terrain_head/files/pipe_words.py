"""The words in which people write a pipe, sorted: what it is, how wide, how thick, how strong."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from terrain_head.base.units import to_si
from terrain_head.scheme.pipe_table import Material, find_material

_STANDARDS = {
    r"(?:asme\s*)?\bb\s*36\.?\s*10m?\b|(?:astm\s*)?\ba\s*53\b": "ASME B36.10",
    r"(?:en\s*)?\b10255\b|\bbs\s*1387\b": "EN 10255",
    r"(?:astm\s*)?\bd\s*1785\b": "ASTM D1785",
    r"(?:astm\s*)?\bd\s*2241\b": "ASTM D2241",
    r"(?:astm\s*)?\bd\s*2239\b": "ASTM D2239",
    r"(?:astm\s*)?\bd\s*2737\b": "ASTM D2737",
    r"(?:astm\s*)?\bd\s*3035\b": "ASTM D3035",
    r"(?:iso\s*)?\b4427(?:\s2)?\b": "ISO 4427",
}
_FAMILIES = {r"\bcts\b|\bcopper tube size\b": "ASTM D2737", r"\bips\b": "ASTM D3035"}
# Not the 100 of "PE 100 psi", nor of a coil of 100 m.
_NO_UNIT = r"\b(?!\s*(?:mm|psi|lbs?\b|pounds?\b|\#|bar|kpa|m\b|met|f))"
_NAMES = {r"\bpe\s*100" + _NO_UNIT: "PE100", r"\bpe\s*80" + _NO_UNIT + r"|\bmdpe\b": "PE80"}
_CODES = {"4710": "PE4710", "3608": "PE3608", "3408": "PE3608"}
_CODE = re.compile(r"\b(?:pe\s*)?(4710|3608|3408)\b")
_ZINC = re.compile(r"\bgalvani[sz]ed\b|\bgalv\b|\bg\.?i\.?(?=\s|$)")
_BLACK_IRON = re.compile(r"\b(?:black\s+)?iron\s+pipe\b|\bblack\s+iron\b")
_NOT_HERE = re.compile(
    r"\b(?:cpvc|pvc c|pex|pe x|pert|ldpe|abs|copper|pp r?|ppr|cast iron|ductile iron|iron|hose|"
    r"concrete|bamboo|aluminium|aluminum|stainless|brass)\b"
)
_GRADE = re.compile(r"\b(?P<kind>sch(?:edule)?\.?|sidr|sdr|dr)\s*(?P<number>\d+(?:\.\d+)?)\b")
_SERIES = re.compile(r"\b(medium|heavy)\b")
_PRESSURE = re.compile(
    r"\b(?P<class>pn|class|cl|pr)\.?\s*(?P<of_class>\d+(?:\.\d+)?)\b"
    r"|(?<![\w./])(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>psi|lbs?|pounds?|\#|bar|kpa)(?!\w)"
)
_SIZE = re.compile(
    r"""(?<![\w./])
    (?:(?P<whole>\d+)\s+)?(?P<num>\d+)\s*/\s*(?P<den>[1-9]\d*)\s*(?:inches|inch|ins?|"|'')?(?!\w)
    |(?<![\w./])(?P<decimal>\d*\.?\d+)\s*(?P<unit>inches|inch|ins?|"|''|mm)(?!\w)
    """,
    re.VERBOSE,
)
_BARE_NUMBER = re.compile(r"(?<![\w./])\d+(?:\.\d+)?(?![\w./])")
_WALL_BESIDE = re.compile(
    r"(?<![\w./])(?P<outside>\d+(?:\.\d+)?)\s*(?:mm\s*)?x\s*(?P<wall>\d+(?:\.\d+)?)\b(?!\s*(?:m|ft|')\b)"
    r"\s*(?:mm\b)?"
)
_BARE_DIAMETER = re.compile(r"(?:\b(?:dn|d|od)|\u00f8)\s?(\d+)\b(?!\s*(?:mm|x))")
_COIL = re.compile(
    r"(?:\bx\s*)?(?<![\w./])\d+(?:\.\d+)?\s*(?:met(?:re|er)s?|feet|foot|ft|m|')(?![\w'])"
)
_SPOKEN = {
    r"\b(?:an?\s+)?inch and a quarter\b": "1 1/4 in",
    r"\b(?:an?\s+)?inch and a half\b": "1 1/2 in",
    r"\bthree[\s-]+quarters?(?:\s+(?:of an\s+)?inch)?\b": "3/4 in",
    r"\bhalf[\s-]+(?:an\s+)?inch\b": "1/2 in",
    r"\bone[\s-]+inch\b": "1 in",
    r"\btwo[\s-]+inch\b": "2 in",
}
_VULGAR = {"\u00bd": " 1/2", "\u00bc": " 1/4", "\u00be": " 3/4", "\u2044": "/", "\u00d7": " x "}
_TYPESET = {
    "\u2033": '"', "\u201d": '"', "\u201c": '"', "\u2032": "'", "\u2019": "'", "\u2018": "'",
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2011": "-", "\u2013": "-", "\u00d8": "\u00f8",
}  # fmt: skip
_WIDEST_INCH, _NARROWEST_MM = 8.0, 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeWords:
    """What a text says of a pipe, each None or False where it says nothing.

    Parameters
    ----------
    text
        The text itself.
    standard
        As in the table: ``ASTM D2239``.
    material, zinc, metal, not_here
        What it is made of; whether galvanized; whether it is said to be of metal; a word for
        something of which the table has no pipe.
    name, code
        ``PE100`` or ``PE80``; the code of American print, ``PE4710`` or ``PE3608``.
    strong
        Called high-density: any polyethylene but PE80.
    grade, grade_words
        ``Sch 40``, ``SIDR 15``, ``DR 11`` (for SDR too), ``medium``; and how it stood there.
    pressure_pa, pressure_words
        A class or rating [Pa], and how it stood there.
    size_m, size_words
        Nominal size [m], and how it stood there.
    wall_m
        The wall where it stands beside the diameter, as 32 x 3.0 [m].
    """

    text: str
    standard: str | None
    material: Material | None
    zinc: bool
    metal: bool
    not_here: str | None
    name: str | None
    code: str | None
    strong: bool
    grade: str | None
    grade_words: str
    pressure_pa: float | None
    pressure_words: str
    size_m: float | None
    size_words: str
    wall_m: float | None

    @property
    def says_what(self) -> bool:
        """Whether anything but a size is said."""
        known = (self.standard, self.material, self.name, self.code, self.grade, self.pressure_pa)
        return self.zinc or any(each is not None for each in known)


def plain_words(text: str) -> str:
    """Return a text in lower case with plain signs, no hyphens, single blanks.

    Parameters
    ----------
    text
        As a person wrote it.

    Examples
    --------
    >>> plain_words("1-1/2\u2033  PVC, Sch-40")
    '1 1/2" pvc sch 40'
    """
    plain = text.lower()
    for sign, word in (_VULGAR | _TYPESET).items():
        plain = plain.replace(sign, word)
    plain = re.sub(r"(?<![a-z\d])(\d+),(\d)", r"\1.\2", plain)
    for spoken, word in _SPOKEN.items():
        plain = re.sub(spoken, word, plain)
    # 1-1/2 keeps its meaning when every hyphen becomes a blank: 1 1/2.
    return " ".join(re.sub(r"[,;()_\-]", " ", plain).split())


def sort_words(text: str) -> PipeWords:
    """Return what a text says of a pipe.

    Parameters
    ----------
    text
        As a person wrote it: ``1 inch black poly, 100 lb``.

    Examples
    --------
    >>> words = sort_words("3/4 CTS poly, 200 psi")
    >>> words.standard, words.size_words, words.pressure_words
    ('ASTM D2737', '3/4', '200 psi')
    """
    rest = plain_words(text)
    standard, rest = _first_of(_STANDARDS, rest)
    code, rest = _taken_out(_CODE, rest)
    name, rest = _first_of(_NAMES, rest)
    zinc, rest = _taken_out(_ZINC, rest)
    rest = _BLACK_IRON.sub(" steel ", rest)
    family, rest = _first_of(_FAMILIES, rest)
    material = _material(rest)
    if material is None or material.name == "PE":
        standard = standard or family
    not_here = _NOT_HERE.search(rest)
    grade, rest = _taken_out(_GRADE, rest)
    series, rest = _taken_out(_SERIES, rest)
    metal = (
        zinc is not None
        or standard in {"EN 10255", "ASME B36.10"}
        or (material is not None and material.rigid)
    )
    if not metal:
        # Of anything but steel pipe it is only a word: heavy black poly.
        series = None
    rest = _COIL.sub(" ", rest)
    wall = _WALL_BESIDE.search(rest)
    rest = _WALL_BESIDE.sub(r" \g<outside> mm ", rest)
    pressure, rest = _taken_out(_PRESSURE, rest)
    size_m, size_words = _size(_BARE_DIAMETER.sub(r" \1 mm ", rest))
    graded = grade is not None
    return PipeWords(
        text=text,
        standard=standard,
        material=material,
        zinc=zinc is not None,
        metal=metal,
        not_here=None if not_here is None else not_here[0],
        name=name,
        code=None if code is None else _CODES[code[1]],
        strong=re.search(r"\bhdpe\b", rest) is not None,
        grade=_grade(grade) if grade is not None else series and series[1],
        grade_words=(grade[0] if graded and grade else series[0] if series else "").strip(),
        pressure_pa=None if pressure is None else _pressure_pa(pressure),
        pressure_words="" if pressure is None else pressure[0].strip().replace("pn", "PN"),
        size_m=size_m,
        size_words=size_words,
        wall_m=None if wall is None else to_si(float(wall["wall"]), "mm"),
    )


def _first_of(patterns: dict[str, str], text: str) -> tuple[str | None, str]:
    for pattern, meaning in patterns.items():
        match, rest = _taken_out(re.compile(pattern), text)
        if match is not None:
            return meaning, rest
    return None, text


def _taken_out(pattern: re.Pattern[str], text: str) -> tuple[re.Match[str] | None, str]:
    match = pattern.search(text)
    if match is None:
        return None, text
    return match, f"{text[: match.start()]} {text[match.end() :]}"


def _material(rest: str) -> Material | None:
    words = rest.replace('"', " ").split()
    pairs = [" ".join(pair) for pair in pairwise(words)]
    return next((found for word in (*pairs, *words) if (found := find_material(word))), None)


def _grade(match: re.Match[str]) -> str:
    kind = match["kind"]
    word = "Sch" if kind.startswith("sch") else "SIDR" if kind == "sidr" else "DR"
    return f"{word} {float(match['number']):g}"


def _pressure_pa(match: re.Match[str]) -> float:
    if match["class"] is not None:
        return to_si(float(match["of_class"]), "bar" if match["class"] == "pn" else "psi")
    unit = match["unit"]
    return to_si(float(match["number"]), {"bar": "bar", "kpa": "kPa"}.get(unit, "psi"))


def _size(rest: str) -> tuple[float | None, str]:
    match = _SIZE.search(rest)
    if match is None:
        return _bare_size(rest)
    if match["num"] is not None:
        inches = Fraction(int(match["num"]), int(match["den"])) + int(match["whole"] or 0)
        return to_si(float(inches), "in"), match[0].strip()
    unit = "mm" if match["unit"] == "mm" else "in"
    return to_si(float(match["decimal"]), unit), match[0].strip()


def _bare_size(rest: str) -> tuple[float | None, str]:
    """Read a lone number: small ones are inches, large ones millimetres."""
    numbers = _BARE_NUMBER.findall(rest)
    if len(numbers) != 1:
        return None, ""
    number = float(numbers[0])
    if 0 < number <= _WIDEST_INCH:
        return to_si(number, "in"), f"{numbers[0]} in"
    if number >= _NARROWEST_MM:
        return to_si(number, "mm"), f"{numbers[0]} mm"
    return None, ""
