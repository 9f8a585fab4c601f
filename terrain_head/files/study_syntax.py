"""From the bytes of a study file to its tables, and what to say when it is no TOML.

The standard parser stops at the first thing that it can't read. Where that is one of the usual
slips, it is named, its line is passed over, and the parser goes on to the next.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from terrain_head.base.names import quoted_key
from terrain_head.errors import InputError, Trouble
from terrain_head.files.study_lines import marked

_AT = re.compile(r"\s*\(at line (\d+), column (\d+)\)$")
_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u2032\u2033\u00ab\u00bb"
_KEY = r"(?:[^=\"'#]|\"[^\"]*\"|'[^']*')+?"
_PAIR = re.compile(rf"^(?P<before>\s*(?P<key>{_KEY})\s*=\s*)(?P<value>.*?)\s*$")
_MOST_TROUBLES = 20


def read_text(file: Path) -> str:
    """Return the text of a study file.

    Raises
    ------
    InputError
        If it can't be opened, is no text, or holds nothing.
    """
    try:
        data = file.read_bytes()
    except OSError as error:
        reason = error.strerror or "it can't be opened"
        raise InputError(f"{file} can't be read: {reason}.", file=str(file)) from error
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _unreadable(file, "It was saved as UTF-16. Save it as UTF-8 text.")
    if b"\x00" in data:
        raise _unreadable(file, "It is no text. A study is a plain text file, saved as UTF-8.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        what = f"A letter on line {line} is not in UTF-8. Save the file as UTF-8 text."
        raise _unreadable(file, what) from error
    if not text.strip():
        raise InputError(
            f"{file} is empty.",
            Trouble(
                what="The least that is answered is a ground, a source and a tank:",
                write='[ground]\nbook = "field_book.csv"\n[source]\nplace = "spring"',
            ),
            file=str(file),
        )
    return text.replace("\r\n", "\n")


def _unreadable(file: Path, what: str) -> InputError:
    return InputError(f"{file} can't be read as a study.", Trouble(what=what), file=str(file))


def parse(text: str, *, file: Path) -> dict[str, Any]:
    """Return the tables of a study file.

    Raises
    ------
    InputError
        If it is no TOML; the usual slips are recognised, up to twenty of them at once.
    """
    lines = text.split("\n")
    troubles: list[Trouble] = []
    while True:
        try:
            tables = tomllib.loads("\n".join(lines))
            break
        except tomllib.TOMLDecodeError as error:
            trouble, line_alone = _explain(str(error), lines)
            troubles.append(trouble)
            if not line_alone or trouble.line is None or len(troubles) == _MOST_TROUBLES:
                tables = {}
                break
            lines[trouble.line - 1] = ""
    if troubles:
        things = "1 thing" if len(troubles) == 1 else f"{len(troubles)} things"
        raise InputError(
            f"{file} can't be read yet: {things} to put right.", *troubles, file=str(file)
        )
    return tables


Slip = Callable[[str], tuple[str, str, tuple[int, int]] | None]


def _explain(message: str, lines: list[str]) -> tuple[Trouble, bool]:
    """Return what is wrong, and whether the rest can be read without that line."""
    match = _AT.search(message)
    said = _AT.sub("", message)
    if match is None:
        line, column = len(lines), 0
        said = said.removesuffix(" (at end of document)")
        while line > 1 and not lines[line - 1].strip():
            line -= 1
    else:
        line, column = int(match[1]), int(match[2]) - 1
    if "twice" in said or "overwrite" in said or "immutable" in said:
        heading = lines[line - 1].lstrip().startswith("[")
        return _twice(lines, line), not heading
    for candidate in (line, line - 1):
        if candidate < 1 or _reads_alone(lines[candidate - 1]):
            continue
        for slip in _SLIPS:
            found = slip(lines[candidate - 1])
            if found is not None:
                what, write, mark = found
                return marked(lines, candidate, mark=mark, what=what, write=write), True
    what = f"it can't be read here: {_plain(said)}."
    return marked(lines, line, mark=(column, 1), what=what), False


def _reads_alone(line: str) -> bool:
    try:
        tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _plain(said: str) -> str:
    for begins, words in _PLAIN_WORDS.items():
        if said.startswith(begins):
            return words
    return said[:1].lower() + said[1:]


_PLAIN_WORDS = {
    "Expected '=' after a key": "a key wants = and a value after it",
    "Unclosed array": "a list was opened with [ and not closed with ]",
    "Unclosed inline table": "a table that is opened with { is closed with } on the same line",
    "Expected ']'": "a heading that is opened with [ is closed with ]",
    "Invalid statement": "a key or a [heading] is wanted",
    "Invalid initial character": "a name is wanted",
    "Unterminated string": "a text was opened with a quote and not closed",
    "Expected newline or end of document": "something stands after the value",
    "Invalid value": "this is no value; texts want quotes",
}


def _twice(lines: list[str], line: int) -> Trouble:
    text = lines[line - 1].strip()
    if text.startswith("["):
        name, again = text.split("]")[0] + "]", text
        first = next(
            (i for i, other in enumerate(lines[: line - 1], 1) if other.strip().startswith(name)),
            None,
        )
    else:
        again = text.split("=")[0].strip()
        pattern = re.compile(rf"^\s*{re.escape(again)}\s*=")
        first = next((i for i in range(line - 1, 0, -1) if pattern.match(lines[i - 1])), None)
    before = f"; it stands on line {first} already" if first else "; it stands above already"
    start = len(lines[line - 1]) - len(lines[line - 1].lstrip())
    what = f"{again.split('#')[0].strip()} is written twice{before}. Keep one of the two."
    return marked(lines, line, mark=(start, len(again)), what=what)


def _curly_quotes(line: str) -> tuple[str, str, tuple[int, int]] | None:
    at = next((i for i, char in enumerate(line) if char in _CURLY), None)
    if at is None or line.lstrip().startswith("#"):
        return None
    straight = line.strip()
    for curly in "\u201c\u201d\u201e\u201f\u00ab\u00bb":
        straight = straight.replace(curly, '"')
    for curly in "\u2018\u2019\u201a":
        straight = straight.replace(curly, "'")
    straight = straight.replace("\u2032", " ft ").replace("\u2033", " in")
    straight = re.sub(r" {2,}", " ", straight)
    match = _PAIR.match(straight)
    if match is not None:
        straight = f"{match['key']} = {_text_of(match['value'])}"
    return "curly quotes stand here; a text wants straight ones.", straight, (at, 1)


def _inch_mark(line: str) -> tuple[str, str, tuple[int, int]] | None:
    match = _PAIR.match(line)
    if match is None:
        return None
    value = _without_comment(match["value"])
    offset = match.start("value")
    if value.startswith('"'):
        ends = re.search(r"\d(\s*\"\s*)(?=\"|[^\s,\]}#])", value)
        what = "the inch mark ended the text too early."
    elif value.startswith("'"):
        ends = re.search(r"\d(')(?=\s*\d)", value)
        what = "the foot mark ended the text too early."
    elif value[:1] in "[{":
        ends = re.search(r"\d(\")\"", value)
        what = "the inch mark ended the text too early."
    else:
        return None
    if ends is None:
        return None
    column = offset + ends.start(1)
    inner = value if value[0] in "[{" else value.strip("\"'")
    cure = f"{match['key']} = {_feet_and_inches(inner)}"
    return what, cure, (column, 1)


def _feet_and_inches(text: str) -> str:
    """Return a text with its foot and inch marks as words, in straight quotes."""
    if text[:1] in "[{":
        return re.sub(
            r"\"([^\",]*?)\"\"",
            lambda found: f'"{_marks_as_words(found[1] + chr(34))}"',
            text,
        )
    return f'"{_marks_as_words(text)}"'


def _marks_as_words(text: str) -> str:
    words = re.sub(r"\s*'\s*'", " in ", text)
    words = re.sub(r"(?<=\d)\s*'", " ft ", words)
    words = re.sub(r"(?<=\d)\s*\"", " in ", words)
    words = " ".join(words.replace('"', "").split())
    return f"{words} in" if re.search(r"ft\s[\d\-/. ]+$", words) else words


def _backslash(line: str) -> tuple[str, str, tuple[int, int]] | None:
    at = line.find("\\")
    match = _PAIR.match(line)
    if at < 0 or match is None:
        return None
    value = _without_comment(match["value"]).replace("\\\\", "/").replace("\\", "/")
    what = "a backslash in a text means something else. Write / between folders."
    return what, f"{match['key']} = {_text_of(value)}", (at, 1)


def _name_with_blank(line: str) -> tuple[str, str, tuple[int, int]] | None:
    header = re.match(r"^(\s*)\[([^\[\]#]+)\]", line)
    match = _PAIR.match(line)
    if header is not None:
        name = header[2]
    elif match is not None:
        name = match["key"]
    else:
        return None
    parts = [part.strip() for part in re.findall(r"\"[^\"]*\"|'[^']*'|[^.]+", name)]
    parts = [part for part in parts if part]
    quoted = [part if part[0] in "\"'" else quoted_key(part) for part in parts]
    odd = next((part for part, q in zip(parts, quoted, strict=True) if part != q), None)
    if odd is None:
        return None
    right = ".".join(quoted)
    cure = f"[{right}]" if match is None or header is not None else f"{right} = {match['value']}"
    return _put_in_quotes(odd), cure, (line.index(odd), len(odd))


def _put_in_quotes(name: str) -> str:
    reason = "holds a blank" if " " in name else "holds more than plain letters, digits, - and _"
    return f"the name {name} {reason}: put the name in quotes."


def _colon(line: str) -> tuple[str, str, tuple[int, int]] | None:
    match = re.match(r"^\s*([A-Za-z_.\-]+)\s*:\s*(.+?)\s*$", line)
    if match is None:
        return None
    cure = f"{match[1]} = {_text_of(match[2])}"
    return "a key wants = before its value.", cure, (line.index(":"), 1)


def _missing_quotes(line: str) -> tuple[str, str, tuple[int, int]] | None:
    match = _PAIR.match(line)
    if match is None:
        return None
    value = _without_comment(match["value"])
    column, cure = match.start("value"), _text_of(value.lstrip("= "))
    if not value:
        what, cure, column = "nothing stands after =.", '"?"', max(column - 1, 0)
    elif value[0] in "\"'" and value.count(value[0]) == 1:
        what = "the quote that ends the text is missing."
    elif value[0] in "\"'" and value[-1] == value[0] and value.count(value[0]) % 2:
        other = "'" if value[0] == '"' else '"'
        what, cure = "a quote inside the text ended it too early.", other + value[1:-1] + other
    elif value[0] in "[{\"'":
        return None
    elif value[-1] in "\"'":
        what = "the quote that begins the text is missing."
    elif re.fullmatch(r"[+-]?\d+,\d+", value):
        what, cure = "a decimal comma can't be read; write a point.", value.replace(",", ".")
    else:
        what = "a text wants quotes."
    return what, f"{match['key']} = {cure}", (column, max(len(value), 1))


def _text_of(value: str) -> str:
    """Return a value as a text in straight quotes; lists, tables and whole texts as they are."""
    if value[:1] in "[{" or (len(value) > 1 and value[0] == value[-1] and value[0] in "\"'"):
        inner = value[1:-1]
        return value if value[:1] in "[{" or '"' not in inner else _feet_and_inches(inner)
    plain = value.strip("\"' ")
    return _feet_and_inches(plain) if re.search(r"\d\s*['\"]", plain) else f'"{plain}"'


def _without_comment(value: str) -> str:
    """Return a value without the comment behind it, as far as quotes let one see."""
    last_quote = max(value.rfind('"'), value.rfind("'"))
    at = value.find(" #")
    while at >= 0:
        if value[:at].count('"') % 2 == 0 or at > last_quote:
            return value[:at].rstrip()
        at = value.find(" #", at + 1)
    return value.rstrip()


_SLIPS: tuple[Slip, ...] = (
    _curly_quotes,
    _backslash,
    _name_with_blank,
    _inch_mark,
    _colon,
    _missing_quotes,
)
