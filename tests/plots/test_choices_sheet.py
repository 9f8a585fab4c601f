"""Choices over each other: one line for what is shared, every line named on itself."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from matplotlib.figure import Figure

from terrain_head.base.units import US
from terrain_head.plots.choices_sheet import choices_plan_figure, choices_profile_figure
from tests.plots.builders import answer
from tests.plots.readable import texts_of, troubles

CHOICES = (
    answer(outlets=2),
    answer(outlets=2, choice="higher stand", stand_m=5.0),
    answer(outlets=2, choice="ridge", hump_m=16.0, delivery_m=330.0, bearing_deg=35.0),
    answer(outlets=1, choice="shelf", lift_m=18.0, delivery_m=280.0, bearing_deg=80.0),
)


@cache
def profile() -> Figure:
    """Return the profile of all choices, drawn once."""
    return choices_profile_figure(CHOICES)


@cache
def plan() -> Figure | None:
    """Return the plan of all choices, drawn once."""
    return choices_plan_figure(CHOICES)


def words_of_profile() -> list[str]:
    return [text for text, _ in texts_of(profile())]


def test_no_words_overlap_on_the_profile() -> None:
    assert troubles(profile()) == []
    assert troubles(choices_profile_figure(CHOICES[:1])) == []


def test_no_words_overlap_on_the_plan() -> None:
    figure = plan()
    assert figure is not None
    assert troubles(figure) == []


def test_no_words_overlap_with_seven_choices() -> None:
    seven = [
        answer(
            outlets=1,
            choice=f"over the ridge number {i}",
            hump_m=2.0 * i,
            delivery_m=300.0 + 15 * i,
            bearing_deg=20.0 + 15 * i,
            units=US,
        )
        for i in range(7)
    ]
    assert troubles(choices_profile_figure(seven)) == []
    seen = choices_plan_figure(seven)
    assert seen is not None
    assert troubles(seen) == []


def test_choices_on_the_same_ground_share_a_line() -> None:
    assert "main, higher stand" in words_of_profile()
    figure = choices_profile_figure(CHOICES[:2])
    assert (
        len([line for line in figure.axes[0].lines if len(np.asarray(line.get_xdata())) > 50]) == 1
    )


def test_every_choice_names_its_full_tank() -> None:
    found = " ".join(words_of_profile())
    for given in CHOICES:
        assert f"{given.choice}:\nfull at" in found


def test_choices_with_the_same_tank_share_its_name() -> None:
    same = (CHOICES[0], replace(CHOICES[0], choice="thicker pipe"))
    found = [text for text, _ in texts_of(choices_profile_figure(same))]
    assert any(text.startswith("main, thicker pipe:\nfull at") for text in found)


def test_a_pipe_that_all_choices_share_bears_its_own_name_only() -> None:
    figure = plan()
    assert figure is not None
    assert "drive" in [text for text, _ in texts_of(figure)]


def test_without_positions_there_is_no_plan_and_without_pipes_no_profile() -> None:
    assert choices_plan_figure([answer(mapped=False)]) is None
    bare = replace(CHOICES[0], layout=replace(CHOICES[0].layout, pipes={}))
    found = [text for text, _ in texts_of(choices_profile_figure([bare]))]
    assert "No pipe is laid yet." in found


def test_a_choice_without_a_tank_ends_where_its_pipes_do() -> None:
    gravity = answer(outlets=1, ram=False, tank=False, lift_m=30.0)
    found = [text for text, _ in texts_of(choices_profile_figure([gravity]))]
    assert not any("full at" in text for text in found)


def test_two_places_with_one_letter_are_told_apart_and_bear_their_choice() -> None:
    far = answer(outlets=1, choice="shelf", lift_m=18.0, delivery_m=280.0, bearing_deg=80.0)
    ground = replace(
        far.ground, names=tuple("shelf" if name == "knoll" else name for name in far.ground.names)
    )
    parts = replace(
        far.layout.parts, tanks=tuple(replace(t, place="shelf") for t in far.layout.parts.tanks)
    )
    moved = replace(far, ground=ground, layout=replace(far.layout, ground=ground, parts=parts))
    figure = choices_plan_figure([CHOICES[0], moved])
    assert figure is not None
    found = [text for text, _ in texts_of(figure)]
    assert found.count("C") == 1
    assert "C2" in found
    assert any("shelf: tank" in text for text in found)
    assert any("A number behind a letter" in text for text in found)


def test_full_tanks_stand_on_one_post_at_the_end_of_their_ground() -> None:
    courses = [np.asarray(line.get_xdata(), dtype=float) for line in profile().axes[0].lines]
    ends = {float(x.max()) for x in courses if len(x) > 50}
    posts = {float(x[0]) for x in courses if len(x) == 2 and x[0] == x[1]}
    assert posts
    assert posts <= ends


def test_ground_that_was_not_surveyed_is_drawn_in_thin_dashes_and_says_so() -> None:
    main = CHOICES[0]
    delivery = next(name for name, pipe in main.layout.pipes.items() if pipe.role == "delivery")
    pipe = main.layout.pipes[delivery]
    open_ground = replace(pipe, profile=replace(pipe.profile, between_known=False))
    layout = replace(main.layout, pipes={**main.layout.pipes, delivery: open_ground})
    figure = choices_profile_figure([replace(main, layout=layout)])
    reach = float(pipe.profile.plan_length_m)
    dashed = [
        line
        for line in figure.axes[0].lines
        if line.is_dashed() and np.ptp(np.asarray(line.get_xdata(), dtype=float)) > 0.9 * reach
    ]
    assert len(dashed) == 1
    assert dashed[0].get_linewidth() < 1.0
    assert "ground not surveyed" in [text for text, _ in texts_of(figure)]
    assert troubles(figure) == []
    assert "ground not surveyed" not in words_of_profile()
