"""Whatever stands in a study file, the answer is a study or one message: never a fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.errors import InputError
from terrain_head.files.study_file import open_study_file

PAGE = (Path(__file__).parents[2] / "docs" / "study_file.md").read_text(encoding="utf-8")
LINES = PAGE.split("```toml\n", 1)[1].split("```", 1)[0].splitlines()
KEYED = [number for number, line in enumerate(LINES) if "=" in line and not line.startswith("#")]
VALUES = [
    '"?"', '""', '"text"', '"3 m"', '"-3 m"', '"1e999 m"', "3", "-1", "0", "1.5", "nan", "-inf",
    "true", "[]", "[1]", '["a", 2]', '["?"]', "[[1]]", "{}", "{ a = 1 }", '{ jan = "1 L/s" }',
    "{ reading = 3 }", "{ inside = true }", '{ "gate valve" = -1 }', "2024-01-01", "07:32:00",
    "2024-01-01 07:32:00", '"""a\nb"""', "'C:\\x'", '"\\u0000"', '"tank"', '"tank.x"',
]  # fmt: skip


def outcome(text: str, folder: Path) -> str | None:
    """Return the message that a text makes, None where it is a study."""
    file = folder / "any_study.toml"
    file.write_text(text, encoding="utf-8", newline="\n")
    try:
        document = open_study_file(file)
    except InputError as error:
        return str(error)
    for choice in document.choice_names:
        assert document.study(choice).choice == choice
    return None


@settings(max_examples=300, deadline=None)
@given(
    changes=st.lists(
        st.tuples(st.sampled_from(KEYED), st.sampled_from(VALUES)), min_size=1, max_size=3
    )
)
def test_any_value_behind_any_key(
    changes: list[tuple[int, str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    lines = list(LINES)
    for number, value in changes:
        lines[number] = f"{lines[number].split('=')[0]}= {value}"
    message = outcome("\n".join(lines), tmp_path_factory.getbasetemp())
    assert message is None or "put right" in " ".join(message.split())


@settings(max_examples=200, deadline=None)
@given(
    gone=st.lists(st.integers(0, len(LINES) - 1), max_size=6),
    swapped=st.lists(
        st.tuples(st.integers(0, len(LINES) - 1), st.integers(0, len(LINES) - 1)), max_size=3
    ),
)
def test_any_lines_missing_or_in_another_order(
    gone: list[int], swapped: list[tuple[int, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    lines = list(LINES)
    for first, second in swapped:
        lines[first], lines[second] = lines[second], lines[first]
    text = "\n".join(line for number, line in enumerate(lines) if number not in gone)
    message = outcome(text, tmp_path_factory.getbasetemp())
    assert message is None or "line " in message


@settings(max_examples=300, deadline=None)
@given(
    spots=st.lists(
        st.tuples(
            st.integers(0, len("\n".join(LINES)) - 1),
            st.sampled_from(list("\"'=[]{}.,#\\\n ?x0\u201c\u2032\u00e9\x07")),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_any_slip_of_the_fingers(
    spots: list[tuple[int, str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    text = list("\n".join(LINES))
    for at, char in spots:
        text[at] = char
    message = outcome("".join(text), tmp_path_factory.getbasetemp())
    assert message is None or "^" in message


@settings(max_examples=200, deadline=None)
@given(text=st.text(max_size=80))
def test_any_text_at_all(text: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    message = outcome(text, tmp_path_factory.getbasetemp())
    assert message is None or "any_study.toml" in message
