"""Which way the water goes, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terrain_head.errors import InputError
from terrain_head.scheme.network import join
from terrain_head.scheme.parts import Parts, PipeRun, Ram, Seep, Source
from tests.scheme.hills import outlet, ram_parts, run, tank


def legs(parts: Parts, **full_m: float) -> dict[str, tuple[str, str, str]]:
    """Return role, upstream and downstream node of each pipe."""
    levels = {node.replace("_", "."): level for node, level in full_m.items()}
    return {
        leg.run.name: (leg.role, leg.upstream, leg.downstream) for leg in join(parts, full_m=levels)
    }


def refusal(parts: Parts) -> str:
    with pytest.raises(InputError) as caught:
        join(parts, full_m={})
    return " ".join(str(caught.value).split())


def with_pipes(*more: PipeRun, instead_of: str = "") -> Parts:
    parts = ram_parts()
    kept = tuple(pipe for pipe in parts.pipes if pipe.name != instead_of)
    return replace(parts, pipes=kept + more)


def test_roles_follow_the_flow() -> None:
    assert legs(ram_parts()) == {
        "drive": ("drive", "source", "ram"),
        "delivery": ("delivery", "ram", "tank"),
        "main": ("supply", "tank", "bend"),
        "to house": ("supply", "bend", "house"),
        "to beds": ("supply", "bend", "beds"),
    }


def test_a_feed_ends_where_the_drive_pipe_begins() -> None:
    parts = with_pipes(
        run("feed 1", "spring", "ditch"),
        run("feed 2", "box", "ditch"),
        run("drive", "ram", "box"),
        instead_of="drive",
    )
    assert parts.ram is not None
    parts = replace(parts, ram=replace(parts.ram, feed=("feed 1", "feed 2")))
    found = legs(parts)
    assert found["feed 1"] == ("feed", "source", "ditch")
    assert found["feed 2"] == ("feed", "ditch", "box")
    assert found["drive"] == ("drive", "box", "ram")


def test_a_drive_pipe_without_a_source_still_comes_to_the_ram() -> None:
    parts = replace(ram_parts(), source=None, pipes=(run("drive", "box", "ram"),), outlets=())
    assert legs(parts) == {"drive": ("drive", "box", "ram")}


def test_a_delivery_may_come_in_pieces_and_end_in_the_open() -> None:
    parts = Parts(
        source=Source(place="spring"),
        ram=Ram(place="hollow"),
        pipes=(run("delivery", "bend", "ram"), run("rest", "trough", "bend")),
    )
    assert legs(parts) == {
        "delivery": ("delivery", "ram", "bend"),
        "rest": ("delivery", "bend", "trough"),
    }


def test_water_runs_from_the_tank_that_is_filled() -> None:
    parts = replace(
        with_pipes(
            run("delivery", "ram", "tank.upper"), run("link", "shelf", "knoll"),
            instead_of="delivery",
        ),
        tanks=(tank("upper", "knoll"), tank("lower", "shelf"), tank("last", "barn")),
        outlets=(),
    )  # fmt: skip
    pipes = [pipe for pipe in parts.pipes if pipe.name in {"drive", "delivery", "link"}]
    parts = replace(parts, pipes=(*pipes, run("last link", "barn", "shelf")))
    found = legs(parts)
    assert found["link"] == ("gravity", "tank.upper", "tank.lower")
    assert found["last link"] == ("gravity", "tank.lower", "tank.last")


def test_of_two_tanks_that_nothing_fills_the_higher_one_feeds() -> None:
    parts = Parts(
        tanks=(tank("upper", "knoll"), tank("lower", "shelf")),
        pipes=(run("link", "tank.lower", "tank.upper"),),
    )
    assert legs(parts, tank_upper=20.0, tank_lower=10.0)["link"][1] == "tank.upper"
    assert legs(parts, tank_upper=10.0, tank_lower=20.0)["link"][1] == "tank.lower"


def test_a_source_may_feed_outlets_or_a_tank() -> None:
    spring = Source(place="spring")
    house = Parts(source=spring, pipes=(run("a", "house", "spring"),), outlets=(outlet("house"),))
    assert legs(house) == {"a": ("supply", "source", "house")}
    filled = Parts(source=spring, tanks=(tank(),), pipes=(run("a", "tank", "source"),))
    assert legs(filled) == {"a": ("gravity", "source", "tank")}


SPRING = Source(place="spring")
SEEP = Seep(name="left", place="alder")
TWO = (tank("upper", "knoll"), tank("lower", "shelf"))
REFUSED = {
    "joined to nothing": (
        with_pipes(run("lost", "meadow", "barn")),
        ['Pipe "lost" is joined to nothing', '[pipe.lost] from = "tank"'],
    ),
    "two deliveries": (
        with_pipes(run("second", "ram", "barn")),
        ['Two deliveries: "delivery" and "second" both leave the ram'],
    ),
    "delivery by another name": (
        with_pipes(run("riser", "ram", "tank"), instead_of="delivery"),
        ['The pipe "riser" leaves the ram', '[ram] delivery = "riser"'],
    ),
    "delivery elsewhere": (
        with_pipes(run("delivery", "tank", "barn"), instead_of="delivery"),
        ['The delivery pipe "delivery" joins the tank and "barn"', '[pipe.delivery] from = "ram"'],
    ),
    "drive not at the ram": (
        with_pipes(run("drive", "source", "bend"), instead_of="drive"),
        [
            'The drive pipe "drive" joins the source and "bend"',
            '[pipe.drive] from = "source" to = "ram"',
        ],
    ),
    "feed unknown": (
        replace(ram_parts(), ram=Ram(place="hollow", feed=("ditch",))),
        ['[ram] feed names the pipe "ditch"; there is none', "[ram] feed = []"],
    ),
    "feed elsewhere": (
        replace(
            with_pipes(run("ditch", "bend", "barn")), ram=Ram(place="hollow", feed=("ditch",))
        ),
        ['The feed pipe "ditch" joins "bend" and "barn"'],
    ),
    "drive not at the end of the feed": (
        replace(
            with_pipes(run("ditch", "spring", "box")), ram=Ram(place="hollow", feed=("ditch",))
        ),
        ['It must join "box" and the ram'],
    ),
    "house on a delivery to no tank": (
        replace(
            with_pipes(run("delivery", "ram", "cabin"), instead_of="delivery"),
            outlets=(*ram_parts().outlets, outlet("cabin")),
        ),
        ['The outlet "cabin" hangs on a delivery', "pumps against a dead end",
         '[pipe.delivery] to = "tank"'],
    ),
    "two tanks on the delivery": (
        Parts(
            source=SPRING, ram=Ram(place="hollow"), tanks=TWO,
            pipes=(run("drive", "source", "ram"), run("delivery", "ram", "fork"),
                   run("rest", "fork", "tank.upper"), run("branch", "fork", "tank.lower")),
        ),
        ['goes to "tank.lower" and "tank.upper"', "How a ram's water parts is not computed"],
    ),
    "ring on the delivery": (
        with_pipes(
            run("delivery", "ram", "fork"), run("rest", "fork", "tank"),
            run("second", "tank", "fork"), instead_of="delivery",
        ),
        ['The pipes "rest", "second" of the delivery make a ring'],
    ),
    "ram and source joined": (
        with_pipes(run("back", "cabin", "source"), run("delivery", "ram", "cabin"),
                   instead_of="delivery"),
        ["join the ram and the source, which is not computed"],
    ),
    "the source shared by the ram and a tank": (
        replace(
            with_pipes(run("spare", "source", "barn")),
            outlets=(*ram_parts().outlets, outlet("barn")),
        ),
        ['"spare" and the ram share the water of the source', "begin at a tank"],
    ),
    "a seep into the ram": (
        replace(with_pipes(run("ditch", "seep.left", "ram")), seeps=(SEEP,)),
        ["A seep runs into the source's box or into a tank", '[pipe.ditch] to = "source"'],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_is_named_with_its_cure(name: str) -> None:
    parts, words = REFUSED[name]
    full = {"tank.upper": 3.0, "tank.lower": 2.0}
    with pytest.raises(InputError) as caught:
        join(parts, full_m=full)
    message = " ".join(str(caught.value).split())
    for word in words:
        assert word in message


def test_all_troubles_are_told_at_once() -> None:
    message = refusal(with_pipes(run("lost", "meadow", "alder"), run("second", "ram", "barn")))
    assert "joined to nothing" in message
    assert "Two deliveries" in message


def lines(parts: Parts, **full_m: float) -> dict[str, str]:
    """Return the line of each pipe."""
    levels = {node.replace("_", "."): level for node, level in full_m.items()}
    return {leg.run.name: leg.line for leg in join(parts, full_m=levels)}


def test_in_a_ring_no_way_leads_round_in_a_circle() -> None:
    parts = with_pipes(run("round", "beds", "house"))
    found = legs(parts)
    assert found["to house"] == ("supply", "bend", "house")
    assert found["to beds"] == ("supply", "bend", "beds")
    assert found["round"][1:] in {("house", "beds"), ("beds", "house")}
    assert len({line for name, line in lines(parts).items() if found[name][0] == "supply"}) == 1


def test_a_house_may_hang_on_the_delivery() -> None:
    parts = replace(
        with_pipes(
            run("delivery", "ram", "fork"), run("rest", "fork", "tank"),
            run("branch", "cabin", "fork"), instead_of="delivery",
        ),
        outlets=(*ram_parts().outlets, outlet("cabin")),
    )  # fmt: skip
    found = legs(parts)
    assert found["branch"] == ("delivery", "fork", "cabin")
    assert lines(parts)["branch"] == "delivery"


def test_the_source_may_fill_two_tanks_and_feed_a_house() -> None:
    parts = Parts(
        source=SPRING, tanks=TWO, outlets=(outlet("house"),),
        pipes=(run("a", "source", "fork"), run("b", "fork", "tank.upper"),
               run("c", "tank.lower", "fork"), run("d", "house", "source")),
    )  # fmt: skip
    found = legs(parts)
    assert found["c"] == ("gravity", "fork", "tank.lower")
    assert found["d"] == ("gravity", "source", "house")
    assert set(lines(parts).values()) == {"a"}


def test_two_tanks_that_nothing_fills_feed_the_outlets_between_them() -> None:
    parts = Parts(
        tanks=TWO, outlets=(outlet("house"),),
        pipes=(run("a", "tank.upper", "house"), run("b", "house", "tank.lower")),
    )  # fmt: skip
    found = legs(parts, tank_upper=20.0, tank_lower=10.0)
    assert found == {"a": ("supply", "tank.upper", "house"), "b": ("supply", "tank.lower", "house")}


def test_a_tank_that_is_filled_feeds_the_outlets_before_the_next_tank() -> None:
    parts = replace(
        with_pipes(
            run("delivery", "ram", "tank.upper"), run("link", "cabin", "tank.upper"),
            run("rest", "cabin", "tank.lower"), instead_of="delivery",
        ),
        tanks=TWO, outlets=(outlet("cabin"),),
    )  # fmt: skip
    kept = tuple(p for p in parts.pipes if p.name in {"drive", "delivery", "link", "rest"})
    found = legs(replace(parts, pipes=kept), tank_upper=20.0, tank_lower=10.0)
    assert found["link"] == ("gravity", "tank.upper", "cabin")
    assert found["rest"] == ("gravity", "cabin", "tank.lower")


def test_two_seeps_run_into_the_box_of_the_source() -> None:
    parts = replace(
        with_pipes(run("left", "seep.left", "source"), run("right", "spring", "willow")),
        seeps=(SEEP, Seep(name="right", place="willow")),
    )
    found = legs(parts)
    assert found["left"] == ("gravity", "seep.left", "source")
    assert found["right"] == ("gravity", "seep.right", "source")
