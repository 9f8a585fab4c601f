"""Loss coefficients by name."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.formulas.fittings import (
    FITTINGS,
    UnknownFittingError,
    fitting,
    loss_coefficient,
    nearest_fittings,
)

# Name and value as printed in the tables named in each record.
PRINTED = [
    ("entrance sharp", 0.5), ("exit", 1.0), ("gate valve", 0.15), ("globe valve", 4.0),
    ("check valve swing", 1.0), ("butterfly valve", 0.56), ("mitre 90", 1.10), ("elbow 90", 0.75),
    ("tee run", 0.9), ("tee branch", 2.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "printed"), PRINTED)
def test_printed_coefficients(name: str, printed: float) -> None:
    assert printed == fitting(name).coefficient


def test_every_fitting_has_a_source_and_stands_in_its_own_spread() -> None:
    for name, each in FITTINGS.items():
        assert name == each.name
        assert 0 < each.low <= each.coefficient <= each.high
        assert each.citation.where


def test_the_foot_valves_published_values_differ_tenfold() -> None:
    assert fitting("foot valve").high >= 10 * fitting("foot valve").coefficient


def test_what_can_shut_a_pipe() -> None:
    shut = {name for name, each in FITTINGS.items() if each.can_shut}
    part_closed = {f"gate valve {part} closed" for part in ("1/4", "1/2", "3/4")}
    whole = {"gate valve", "globe valve", "ball valve", "butterfly valve", "float valve"}
    assert shut == whole | part_closed


def test_a_valve_part_closed_is_written_as_people_say_it() -> None:
    assert fitting("gate valve half closed") == FITTINGS["gate valve 1/2 closed"]
    assert fitting("three quarters shut gate valve") == FITTINGS["gate valve 3/4 closed"]
    closing = (
        "gate valve",
        "gate valve 1/4 closed",
        "1/2 closed gate valve",
        "gate 3/4 closed valve",
    )
    coefficients = [fitting(name).coefficient for name in closing]
    assert coefficients == sorted(coefficients)


def test_what_keeps_water_from_running_back() -> None:
    assert {n for n, one in FITTINGS.items() if one.one_way} == {"check valve swing", "foot valve"}


@given(st.sampled_from(sorted(FITTINGS)), st.randoms())
def test_words_are_read_in_any_order_case_and_spacing(name: str, random: object) -> None:
    del random
    words = name.split()
    written = "-".join(reversed(words)).upper()
    assert fitting(f"  {written} ") == FITTINGS[name]


def test_an_unknown_name_brings_the_nearest_ones() -> None:
    with pytest.raises(UnknownFittingError) as raised:
        fitting("elbo 90")
    assert raised.value.nearest[0] == "elbow 90"
    assert raised.value.name == "elbo 90"
    assert isinstance(raised.value, KeyError)
    assert "gate valve" in nearest_fittings("valve")


def test_nothing_like_it_brings_nothing() -> None:
    assert nearest_fittings("xyzzy") == ()


def test_coefficients_add_up() -> None:
    assert loss_coefficient({}) == 0
    assert loss_coefficient({"elbow 90": 2, "exit": 1}) == pytest.approx(2.5)
    with pytest.raises(UnknownFittingError):
        loss_coefficient({"whirl": 1})
