"""Which way the water goes, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terrain_head.errors import InputError
from terrain_head.scheme.network import join
from terrain_head.scheme.parts import Parts, PipeRun, Ram, Source
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
TWO = (tank("upper", "knoll"), tank("lower", "shelf"))
REFUSED = {
    "ring": (
        with_pipes(run("round", "house", "beds")),
        ['"round", "to beds", "to house" make a ring', "Take one of them away."],
    ),
    "two pipes side by side": (
        with_pipes(run("second", "tank", "bend")),
        ['"main", "second" make a ring'],
    ),
    "joined to nothing": (
        with_pipes(run("lost", "meadow", "barn")),
        ['Pipe "lost" is joined to nothing', '[pipe.lost] from = "tank"'],
    ),
    "outlet not reached": (
        replace(ram_parts(), outlets=(*ram_parts().outlets, outlet("barn", place="barn"))),
        ['No pipe reaches the outlet "barn" at "barn"', '[pipe.NAME] from = "tank" to = "barn"'],
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
    "house on the delivery": (
        replace(
            with_pipes(
                run("delivery", "ram", "cabin"), run("rest", "cabin", "tank"),
                instead_of="delivery",
            ),
            outlets=(*ram_parts().outlets, outlet("cabin")),
        ),
        [
            'The outlet "cabin" hangs on the delivery pipe',
            "not computed yet",
            '[pipe.NAME] from = "tank" to = "cabin"',
        ],
    ),
    "house teed into the delivery": (
        replace(
            with_pipes(
                run("delivery", "ram", "fork"), run("rest", "fork", "tank"),
                run("branch", "fork", "cabin"), instead_of="delivery",
            ),
            outlets=(*ram_parts().outlets, outlet("cabin")),
        ),
        ['The outlet "cabin" hangs on the delivery pipe'],
    ),
    "tee on the delivery": (
        with_pipes(
            run("delivery", "ram", "fork"), run("rest", "fork", "tank"),
            run("branch", "fork", "cabin"), instead_of="delivery",
        ),
        ['The pipes "delivery", "rest", "branch" meet at "fork"', "not computed yet"],
    ),
    "ram and source joined": (
        with_pipes(run("back", "cabin", "source"), run("delivery", "ram", "cabin"),
                   instead_of="delivery"),
        ["join the ram and the source, which is not computed yet"],
    ),
    "three tanks on one line": (
        Parts(
            source=SPRING, tanks=TWO,
            pipes=(run("a", "source", "fork"), run("b", "fork", "tank.upper"),
                   run("c", "fork", "tank.lower")),
        ),
        ['meet at "fork" on the pipe that fills the tank'],
    ),
    "outlet on the filling pipe": (
        Parts(
            source=SPRING, tanks=(tank(),), outlets=(outlet("house"),),
            pipes=(run("a", "source", "house"), run("b", "house", "tank")),
        ),
        ['The outlet "house" hangs on the pipe that fills the tank'],
    ),
    "a tank filled twice": (
        with_pipes(run("spare", "source", "tank")),
        ['Two pipes fill the tank: "delivery" and "spare"', "share the water of the source"],
    ),
    "the source shared by the ram and a tank": (
        replace(
            with_pipes(run("spare", "source", "barn")),
            outlets=(*ram_parts().outlets, outlet("barn")),
        ),
        ['"spare" and the ram share the water of the source', "not computed yet"],
    ),
    "two lines out of one source": (
        Parts(
            source=SPRING, tanks=TWO,
            pipes=(run("a", "source", "tank.upper"), run("b", "source", "tank.lower")),
        ),
        ['"a" and "b" share the water of the source'],
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
    message = refusal(with_pipes(run("lost", "meadow", "barn"), run("round", "house", "beds")))
    assert "joined to nothing" in message
    assert "make a ring" in message
