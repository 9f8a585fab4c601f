"""Labels find room, keep off each other, and say which found none."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.plots.labels import Label, LabelField
from terrain_head.plots.sheet import Frame, add_axes, new_sheet
from terrain_head.plots.type_boxes import dense, folded, overlaps, text_size
from tests.plots.readable import texts_of, troubles


def field() -> LabelField:
    figure = new_sheet(900, 420)
    axes = add_axes(figure, Frame(left=60, bottom=50, width=800, height=340))
    axes.set_xlim(0, 100)
    axes.set_ylim(0, 10)
    return LabelField(axes=axes)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 100), st.floats(0, 10), st.integers(1, 30)), min_size=2, max_size=8
    )
)
def test_no_two_labels_overlap_wherever_the_places_are(
    places: list[tuple[float, float, int]],
) -> None:
    room = field()
    labels = [
        Label(text=folded("w" * length), anchors=((x, y),), tag=chr(65 + i))
        for i, (x, y, length) in enumerate(places)
    ]
    assert room.place(labels) == []
    assert troubles(room.figure) == []


def test_a_label_that_must_not_stand_is_left_out_where_there_is_no_room() -> None:
    room = field()
    room.region_px = (100.0, 100.0, 130.0, 108.0)
    optional = Label(text="too long for this", anchors=((50.0, 5.0),), must=False)
    assert room.place([optional]) == [optional]
    assert [text for text, _ in texts_of(room.figure) if "too long" in text] == []


def test_a_label_keeps_off_a_line_when_there_is_room_beside_it() -> None:
    room = field()
    room.keep_clear([0.0, 100.0], [5.0, 5.0])
    room.place([Label(text="the line's own name", anchors=((50.0, 5.0),))])
    box = next(box for text, box in texts_of(room.figure) if text == "the line's own name")
    line = float(room.axes.transData.transform((50.0, 5.0))[1])
    assert box[1] > line or box[3] < line


def test_boxes_that_touch_within_the_pad_overlap() -> None:
    one = np.array([[0.0, 0.0, 10.0, 10.0]])
    other = np.array([[12.0, 0.0, 20.0, 10.0]])
    assert not overlaps(one, other).any()
    assert overlaps(one, other, pad=3.0).all()


def test_a_line_becomes_points_no_farther_apart_than_asked() -> None:
    points = dense(np.array([[0.0, 0.0], [30.0, 40.0]]), step_px=3.0)
    assert np.hypot(*np.diff(points, axis=0).T).max() <= 3.2
    assert len(dense(np.array([[1.0, 2.0]]))) == 1


def test_a_dollar_sign_begins_no_formula() -> None:
    assert folded("$5 tap") == r"\$5 tap"


def test_a_column_keeps_the_order_of_its_lines_and_never_overlaps() -> None:
    room = field()
    heights = (5.0, 5.1, 5.05, 9.9, 0.1, 5.2, 5.0, 9.95)
    room.place_column(
        [Label(text=f"line {i}\nsecond", anchors=((90.0, y),)) for i, y in enumerate(heights)],
        left_px=600.0,
    )
    assert troubles(room.figure) == []
    found = {text[:6]: box[1] for text, box in texts_of(room.figure) if text.startswith("line")}
    assert sorted(found, key=lambda name: found[name]) == sorted(
        found, key=lambda name: heights[int(name[-1])]
    )
    room.place_column([], left_px=600.0)


def test_a_column_too_full_uses_smaller_type() -> None:
    room = field()
    room.place_column(
        [Label(text=f"line {i}\nsecond", anchors=((90.0, 5.0),)) for i in range(16)], left_px=600.0
    )
    assert troubles(room.figure) == []


def test_a_word_keeps_off_a_mark() -> None:
    room = field()
    room.keep_clear_of_mark(50.0, 5.0, half_px=20.0, up_px=30.0)
    room.place([Label(text="word", anchors=((50.0, 5.0),))])
    box = next(box for text, box in texts_of(room.figure) if text == "word")
    mark = room.axes.transData.transform((50.0, 5.0))
    assert box[3] <= mark[1] or box[1] >= mark[1] + 30 or box[0] > mark[0] + 20


def test_a_line_of_nothing_is_no_hindrance() -> None:
    room = field()
    room.keep_clear([np.nan], [1.0])
    assert len(room.lines_px) == 0


def test_words_without_letters_take_no_room() -> None:
    assert text_size("", 9.0, heavy=False, dpi=120.0) == (0.0, 0.0)


def test_what_lies_over_the_ground_is_not_named_below_it() -> None:
    x = np.linspace(0.0, 100.0, 60)
    word = Label(text="a line\nover the ground", anchors=((50.0, 5.7),), side="below")
    middles = []
    for barred in (False, True):
        room = field()
        add = room.keep_clear_of_ground if barred else room.keep_clear
        room.keep_clear(x, np.full(60, 5.7))
        add(x, np.full(60, 5.0))
        for height in (6.2, 6.8):
            room.keep_clear(x, np.full(60, height))
        room.place([word])
        box = next(box for text, box in texts_of(room.figure) if text == word.text)
        at = room.axes.transData.inverted().transform((0.0, (box[1] + box[3]) / 2))
        middles.append(float(at[1]))
    assert middles[0] < 5.0 < middles[1]
