"""The screen answers in one sentence and fits a small terminal."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.cures import Fix
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.headline import Need
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.report.outlet_table import outlet_rows
from terrain_head.report.study_screen import study_screen
from terrain_head.report.verdict import _pressure_cure, _water_cure, verdict
from tests.report.builders import a, answer, drawn, drawn_water
from tests.report.sample_findings import SAMPLES

INCHES = UnitSystem(name="us", feet="inches")
BY_KIND = {one.kind: one for one in reversed(SAMPLES)}
CASES: list[dict[str, Any]] = [
    {},
    {"outlets": 8},
    {"outlets": 0},
    {"outlets": 1},
    {"flow": False},
    {"flow": False, "outlets": 0},
    {"ram": False},
    {"ram": False, "tank": False},
    {"ram": False, "tank": False, "outlets": 0},
    {"stopped": True},
    {"needed_l": None},
    {"needed_l": 9000.0},
    {"fall_std_m": None},
    {"coordinates": False},
    {"findings": ()},
    {"findings": SAMPLES},
    {"title": "A very long title of a study that goes on and on over the hills and far away"},
]


@pytest.mark.parametrize(
    ("case", "units"),
    list(product(CASES, [METRIC, US, INCHES])),
    ids=lambda value: str(value)[:40],
)
def test_a_screen_is_ascii_and_fits(case: dict[str, Any], units: UnitSystem) -> None:
    screen = study_screen(answer(**case, units=units), results_folder="bank/study-results")
    assert screen.isascii()
    assert max(len(line) for line in screen.splitlines()) <= 79
    assert len(screen.splitlines()) <= 26
    assert screen.endswith("report.html\n")
    for leftover in ("None", "nan", "inf ", "{", "}"):
        assert leftover not in screen


def test_us_readers_see_no_metric_unit() -> None:
    screen = study_screen(answer(units=US), results_folder=None)
    assert re.search(r"\d (m|L/min|bar|kPa|kg|litres)\b", screen) is None


def test_metric_readers_see_bar_with_kilopascals_in_brackets() -> None:
    screen = study_screen(answer(), results_folder=None)
    assert "0.88 bar (88 kPa)" in screen
    assert "1.29 bar (129 kPa)" in screen
    assert re.search(r"\d (ft|psi|gal|lb)\b", screen) is None


def test_the_sentence_says_which_outlet_is_too_weak_and_what_stand_mends_it() -> None:
    said = verdict(answer())
    assert (
        said.sentence
        == "The tank gets the water you need. Enough pressure: beds. Too weak: house tap."
    )
    assert "Build the stand 3.6 m high instead of 2.0 m" in said.to_do
    # By the sweep each metre of stand costs 150 litres a day, and 1.6 m are added.
    assert "It costs about 240 litres a day." in said.to_do


def test_give_or_take_is_nine_in_ten() -> None:
    # 1.6449 x 0.012 m = 0.0197 m
    assert "2.41 m  +- 0.02" in study_screen(answer(), results_folder=None)
    assert "+-" not in study_screen(answer(fall_std_m=None), results_folder=None)


def test_digits_follow_the_doubt() -> None:
    screen = study_screen(answer(fall_std_m=0.4, findings=()), results_folder=None)
    assert "2.4 m  +- 0.7" in screen


def test_a_doubtful_fall_is_said_before_any_figure() -> None:
    findings = (BY_KIND["fall-doubtful"],)
    doubtful = answer(findings=findings, fall_std_m=0.9, outlets=0, needed_l=None)
    screen = study_screen(doubtful, results_folder=None)
    assert "Can't tell yet. It works only if the heights are right." in screen
    assert "The fall is about 2.4 m, likely 0.9 to 3.9 m." in " ".join(screen.split())
    assert "Level the 14 m from the spring to the ram" in screen


def test_a_need_that_hangs_on_the_height_map_can_not_be_told_yet() -> None:
    whole = drawn_water(answer(findings=(), outlets=0), 3_000.0, 900.0)
    said = " ".join(study_screen(whole, results_folder=None).split())
    assert "Can't tell yet. It works only if the heights are right." in said
    assert "but 1 500 to 4 500 all fit what you measured." in said
    assert "You need 2 600: seven chances in ten." in said
    assert "The height map is that rough; 3/5 of the doubt comes from it." in said
    assert "Least sure The height map: 3/5 of the doubt; it is that rough." in said


def test_heights_are_not_blamed_for_another_doubt_nor_for_a_sure_no() -> None:
    whole = answer(findings=(BY_KIND["fall-doubtful"],), outlets=0)
    flow = verdict(drawn_water(whole, 3_000.0, 900.0, cause="efficiency"))
    assert "The tank should get the water you need." == flow.sentence
    little = verdict(drawn_water(whole, 1_500.0, 300.0))
    assert "Too little water reaches the tank." == little.sentence


def test_water_that_is_sure_is_sure_whatever_the_fall() -> None:
    whole = answer(findings=(BY_KIND["fall-doubtful"],), outlets=0)
    said = verdict(drawn_water(whole, 5_000.0, 900.0))
    assert "The tank gets the water you need." == said.sentence


def test_heights_of_unknown_error_leave_it_open() -> None:
    whole = answer(findings=(BY_KIND["raster-error-unknown"],), outlets=0)
    unknown = drawn(whole, middles={}, stds={}, unknown=frozenset({"tank.tank.inflow", "fall"}))
    said = " ".join(study_screen(unknown, results_folder=None).split())
    assert "Can't tell yet." in said
    assert "You need 2 600: can't tell." in said


def test_a_weak_outlet_that_hangs_on_the_map_asks_for_leveling_to_it() -> None:
    name = "outlet.house tap.running_low"
    whole = drawn(
        answer(findings=(), outlets=1),
        middles={name: 105e3},
        stds={name: 6e3},
        shares={name: {"raster": 0.9, "inside diameter": 0.1}},
    )
    said = " ".join(study_screen(whole, results_folder=None).split())
    assert "Can't tell yet." in said
    assert "Level from the tank to house" in said
    assert "likely 0.95 to 1.15 bar" in said
    assert "6 in 10" in said
    assert "The height map: nearly all of the doubt about house tap" in said


def test_a_book_that_misses_by_far_is_said_before_anything_else() -> None:
    wrong = replace(BY_KIND["misclosure"], severity="care", value=0.5, limit=0.02)
    negative = replace(BY_KIND["fall-negative"], severity="stop")
    said = verdict(answer(findings=(negative, wrong)))
    assert said.sentence.startswith("The level book does not close")
    screen = study_screen(answer(findings=(negative, wrong)), results_folder=None)
    assert "You need 2 600: can't tell." in screen
    near = verdict(answer(findings=(replace(wrong, value=0.03),)))
    assert near.sentence.startswith("The tank gets")


def test_the_reading_that_may_be_wrong_stands_under_the_first_sentence() -> None:
    """Line, point, likely kind, what comes without it; what to do is the sight that settles it."""
    wrong = replace(BY_KIND["misclosure"], severity="care", value=0.5, limit=0.02)
    slip = replace(
        BY_KIND["reading-stands-out"],
        value=1.0,
        values={
            "size_m": 0.1, "ties": 2.0, "other_means": 0.0, "line_1": 3.0, "line_2": 4.0,
            "fall_now_m": 2.45, "fall_then_m": 2.40, "fall_else_m": 2.50,
        },
        texts={
            "certainty": "tied", "known": "", "start": "spring", "end": "TP1",
            "written_1": "0.934", "point_1": "spring", "side_1": "bs", "file_1": "book.csv",
            "written_2": "3.105", "point_2": "TP1", "side_2": "fs", "file_2": "book.csv",
            "slip_1": "whole-unit", "meant_1": "1 dm",
            "next_point": "TP1", "next_start": "spring", "next_also": "stake 1 and stake 2",
            "next_settles": "reading", "next_count": "2",
        },
    )  # fmt: skip
    screen = study_screen(answer(findings=(wrong, slip)), results_folder=None)
    assert all(len(line) <= 79 for line in screen.splitlines())
    flat = " ".join(screen.split())
    assert (
        "Look at In book.csv: between spring and TP1 one reading is wrong by about 0.100 m: 0.934 "
        "on spring (line 3, back) or 3.105 on TP1 (line 4, ahead). They can't be told apart. That "
        "is close to 1 dm: perhaps a whole figure was misread. Put right, it makes the fall 2.40 m "
        "or 2.50 m instead of 2.45 m. What to do Set up once more between spring and TP1 and read "
        "spring, stake 1, stake 2 and TP1 from there: that tells which reading it was."
    ) in flat
    assert flat.count("What to do") == 1
    assert flat.index("Look at") < flat.index("Into the tank")


def test_book_that_nothing_checks_is_told_before_other_cares() -> None:
    findings = tuple(
        BY_KIND[kind]
        for kind in ("tank-weight", "air-high-point", "drive-plastic", "book-unchecked")
    )
    flat = " ".join(study_screen(answer(findings=findings), results_folder=None).split())
    assert "Take care You did not come back to a known point" in flat


def test_no_outlet_is_promised_anything_where_the_book_does_not_close() -> None:
    wrong = replace(BY_KIND["misclosure"], severity="care", value=0.5, limit=0.02)
    assert {row.enough for row in outlet_rows(answer())} & {"yes"}
    assert {"can't tell"} == {row.enough for row in outlet_rows(answer(findings=(wrong,)))}


def test_an_outlet_behind_a_tank_that_gets_no_water_gets_none() -> None:
    given = answer()
    name = given.layout.tanks[0].name
    dry = replace(given.solution.tanks[name], inflow_m3_s=a(0.0))
    solution = replace(given.solution, tanks={name: dry})
    found = {row.enough for row in outlet_rows(replace(given, solution=solution))}
    assert "no water" in found
    assert "yes" not in found


def test_of_an_outlet_behind_a_pipe_that_sucks_nothing_is_told() -> None:
    given = answer()
    outlet = given.layout.outlets[0]
    last = next(p for p in given.layout.pipes.values() if p.downstream == outlet.place)
    sucks = replace(BY_KIND["pressure-negative"], where=Where(pipe=last.name, station_m=1.0))
    rows = {row.name: row.enough for row in outlet_rows(replace(given, findings=(sucks,)))}
    assert rows[outlet.name] == "can't tell"


def test_a_tank_above_its_water_is_not_told_to_stand_higher() -> None:
    uphill = replace(BY_KIND["pressure-negative"], texts={"group": "", "tank": "tank"})
    said = verdict(answer(findings=(uphill,)))
    assert "no water gets there" in said.sentence
    assert said.to_do == "Set it lower, take the water higher up, or lift it with a ram."


@pytest.mark.parametrize(
    "kind", ["fall-negative", "lift-negative", "fall-too-small", "ram-stops", "lift-beyond-range"]
)
def test_what_stops_the_ram_is_the_answer(kind: str) -> None:
    stop = replace(BY_KIND[kind], severity="stop")
    said = verdict(answer(findings=(stop,)))
    assert said.sentence.startswith("Not as it stands.")
    assert said.to_do


def test_another_stop_is_what_to_do_first() -> None:
    said = verdict(answer(findings=(BY_KIND["pressure-over-rating"],)))
    assert "may burst" in said.sentence
    assert "stronger pipe" in said.to_do


def test_too_little_water_is_said() -> None:
    short = answer(needed_l=9000.0, outlets=0, findings=(BY_KIND["tank-short"],))
    assert verdict(short).sentence == "Too little water reaches the tank."
    assert "You need 9 000: no." in study_screen(short, results_folder=None)
    assert verdict(short).to_do


def test_a_need_inside_the_range_is_perhaps_met() -> None:
    whole = drawn_water(answer(needed_l=3000.0), 3680.0, 900.0, cause="efficiency")
    screen = study_screen(whole, results_folder=None)
    screen = " ".join(screen.split())
    assert "You need 3 000: eight chances in ten." in screen
    assert "The tank should get the water you need." in screen


def test_without_flow_the_heights_are_the_answer() -> None:
    sentence = verdict(answer(flow=False, outlets=0)).sentence
    assert sentence.startswith("The fall is 2.41 m and the lift 24.21 m.")


def test_with_fall_alone_the_fall_is_the_answer() -> None:
    whole = answer(flow=False, outlets=0)
    assert whole.solution.ram is not None
    ram = replace(whole.solution.ram, lift_m=None)
    alone = replace(whole, solution=replace(whole.solution, ram=ram))
    assert verdict(alone).sentence == "The fall is 2.41 m."


def test_without_ram_and_water_the_ground_is_the_answer() -> None:
    bare = answer(ram=False, flow=False, outlets=0)
    assert "Tank lies 21.80 m above the spring's water." == verdict(bare).sentence
    places = answer(ram=False, tank=False, outlets=0)
    assert "heights of the places" in verdict(places).sentence


def test_of_many_outlets_the_weak_ones_are_shown() -> None:
    screen = study_screen(answer(outlets=8), results_folder=None)
    assert "house tap" in screen
    assert "and 4 more in the report" in screen


def test_findings_told_already_are_not_told_again() -> None:
    short = replace(BY_KIND["outlet-short"])
    screen = study_screen(answer(findings=(short,)), results_folder=None)
    assert "Take care" not in screen


def test_the_screen_says_how_many_findings_wait_in_the_report() -> None:
    screen = study_screen(answer(findings=SAMPLES[20:60]), results_folder=None)
    assert re.search(r"And \d+ more in the report\.", screen.replace("\n", " "))


def test_fine_findings_alone_are_counted_only() -> None:
    fine = tuple(one for one in SAMPLES if one.severity == "fine")[:5]
    screen = study_screen(answer(findings=fine), results_folder=None)
    assert "5 notes in the report." in screen


def test_a_computed_likely_range_is_said() -> None:
    sure = drawn_water(answer(), 3680.0, 300.0)
    assert "likely 3 200 to 4 200" in " ".join(study_screen(sure, results_folder=None).split())


def test_what_was_not_asked_is_said() -> None:
    asked = replace(answer(), not_asked=("pipe.beds.spec", "outlets", "tank.volume"))
    screen = " ".join(study_screen(asked, results_folder=None).split())
    assert "Not asked No pipe is chosen for 'beds'. No outlets are named" in screen
    assert "1 more in the report." in screen


def test_a_choice_is_named_in_the_title() -> None:
    first = study_screen(answer(choice="ridge"), results_folder=None).splitlines()[0]
    assert first.startswith("PELL BANK - ridge ")


def test_an_outlet_that_runs_dry_is_said_and_a_stand_that_mends_nothing_is_not_promised() -> None:
    whole = answer(findings=(Finding(kind="outlet-dry", severity="stop", where=Where()),))
    dry = replace(whole.solution.outlets["house tap"], running_low_pa=a(-2e3), stand_needed_m=None)
    outlets = dict(whole.solution.outlets) | {"house tap": dry}
    said = verdict(replace(whole, solution=replace(whole.solution, outlets=outlets)))
    assert "Runs dry: house tap." in said.sentence
    assert "Set the tank higher" in said.to_do


def test_a_stand_beyond_the_sweep_has_no_price() -> None:
    whole = answer()
    tall = replace(whole.solution.outlets["house tap"], stand_needed_m=a(9.0))
    outlets = dict(whole.solution.outlets) | {"house tap": tall}
    said = verdict(replace(whole, solution=replace(whole.solution, outlets=outlets)))
    assert "9.0 m high" in said.to_do
    assert "costs" not in said.to_do


def test_every_outlet_with_enough_is_said_in_one_sentence() -> None:
    whole = answer()
    fed = {
        name: replace(one, running_low_pa=a(2e5)) for name, one in whole.solution.outlets.items()
    }
    both = replace(whole, solution=replace(whole.solution, outlets=fed))
    assert "Every outlet gets the pressure it needs." in verdict(both).sentence
    lone = _only(both, "beds")
    assert "Beds gets the pressure it needs." in verdict(lone).sentence


def _only(whole: Answer, name: str) -> Answer:
    return replace(
        whole,
        solution=replace(whole.solution, outlets={name: whole.solution.outlets[name]}),
    )


@pytest.mark.parametrize(
    ("cure", "words"),
    [
        (Fix(cure="another ram", passed_by_m3_s=to_si(12.0, "L/min")), "12 L/min passing by"),
        (Fix(cure="less pipe loss", pipe="delivery"), "wider pipe for the delivery pipe"),
        (Fix(cure="wider pipe"), "wider pipe for the pipe"),
        (Fix(cure="more water"), "Find more water"),
        (Fix(cure="more water", fall_needed_m=3.0), "It would take a fall of 3.00 m."),
        (
            Fix(
                cure="more water",
                flow_needed_m3_s=to_si(60.0, "L/min"),
                fall_needed_m=3.0,
                efficiency_needed=0.7,
            ),
            "It would take 60 L/min at the spring, a fall of 3.00 m or an efficiency of 70 %.",
        ),
    ],
)
def test_a_want_of_water_has_its_cure(cure: Fix, words: str) -> None:
    assert words in _water_cure(answer(), cure)


def test_a_want_of_pressure_that_no_stand_mends_asks_for_wider_pipes() -> None:
    fix = Fix(cure="wider pipe", pipe="house")
    need = Need(kind="pressure", name="tap", place="house", wanted=1e5, got=5e4, sure="no", fix=fix)
    assert "Take a wider pipe for the pipe 'house'" in _pressure_cure(answer(), [need])
    assert "Take wider pipes" in _pressure_cure(
        answer(), [replace(need, fix=replace(fix, pipe=None))]
    )


def test_several_rams_take_and_lift_in_the_plural() -> None:
    whole = answer()
    stated = whole.layout.ram
    assert stated is not None
    parts = replace(whole.layout.parts, ram=replace(stated, count=2))
    screen = study_screen(
        replace(whole, layout=replace(whole.layout, parts=parts)), results_folder=None
    )
    assert "2 rams: take 42.4 of 53 L/min, lift 2.6, spill 39.8" in screen


def test_a_summit_that_rules_the_lift_is_named() -> None:
    whole = answer(findings=())
    assert whole.solution.ram is not None
    ram = replace(whole.solution.ram, summit_rules=True)
    screen = study_screen(
        replace(whole, solution=replace(whole.solution, ram=ram)), results_folder=None
    )
    assert "lift, ram's valve up to the pipe's summit" in screen


def test_two_tanks_are_told_by_their_names() -> None:
    whole = answer(ram=False, findings=())
    lone = whole.layout.tanks[0]
    tanks = (replace(lone, name="upper"), replace(lone, name="lower", needed_m3_s=None))
    level = whole.layout.inlet_m["tank"]
    layout = replace(
        whole.layout,
        parts=replace(whole.layout.parts, tanks=tanks),
        inlet_m={"upper": level, "lower": level - 40.0},
    )
    results = {one.name: whole.solution.tanks["tank"] for one in tanks}
    both = replace(whole, layout=layout, solution=replace(whole.solution, tanks=results))
    screen = study_screen(both, results_folder=None)
    assert "Into upper" in screen
    assert "Into lower" in screen
    assert "spring water down to lower's inlet" in screen
    assert "spring water up to upper's inlet" in screen
    assert "The tank 'upper' gets the water you need." in " ".join(screen.split())
    assert "Water reaches the tank 'lower'." in " ".join(screen.split())


def test_a_dry_season_is_said_and_a_measured_efficiency_has_no_published_range() -> None:
    whole = answer(findings=())
    source, ram = whole.layout.source, whole.solution.ram
    assert source is not None
    assert ram is not None
    parts = replace(whole.layout.parts, source=replace(source, season="dry"))
    measured = replace(ram, efficiency_origin="measured")
    screen = study_screen(
        replace(
            whole,
            layout=replace(whole.layout, parts=parts),
            solution=replace(whole.solution, ram=measured),
        ),
        results_folder=None,
    )
    assert "about 3 700 litres a day in the dry season." in screen
    assert "published" not in screen


def test_water_that_does_not_come_is_said() -> None:
    whole = answer(findings=(), outlets=0)
    none = replace(whole.solution.tanks["tank"], inflow_m3_s=a(0.0))
    dry = replace(whole, solution=replace(whole.solution, tanks={"tank": none}))
    assert "No water reaches the tank." == verdict(dry).sentence


def test_the_folder_of_the_results_never_passes_the_edge() -> None:
    folder = "surveys of the whole valley/upper and lower farm/the year after next/study-results"
    screen = study_screen(replace(answer(), file=f"{folder}/study.toml"), results_folder=folder)
    lines = screen.splitlines()
    assert max(len(line) for line in lines) <= 79
    at = next(n for n, line in enumerate(lines) if line.startswith("See it"))
    assert "".join(line[14:] for line in lines[at:]).startswith(f"{folder}/profile.png")


@pytest.mark.parametrize(
    ("cause", "words"),
    [
        ("source flow", "Time the spring again"),
        ("efficiency", "count on the lower figure"),
        ("inside diameter", "Count on the lower figure"),
    ],
)
def test_sentence_row_and_cure_agree_where_the_need_lies_in_the_range(
    cause: str, words: str
) -> None:
    name = "tank.tank.inflow"
    for needed, sentence, chances in (
        (3_600.0, "The tank should get the water you need.", "six chances in ten"),
        (3_800.0, "The tank may not get the water you need.", "four chances in ten"),
    ):
        whole = drawn(
            answer(findings=(), outlets=0, needed_l=needed),
            middles={name: to_si(3_680.0, "L/d")},
            stds={name: to_si(400.0, "L/d")},
            shares={"delivered": {cause: 0.8, "roughness": 0.2}},
        )
        said = " ".join(study_screen(whole, results_folder=None).split())
        assert sentence in said
        assert f": {chances}." in said
        assert words in said


def test_a_figure_is_never_rounded_out_of_its_range() -> None:
    sure = drawn_water(answer(outlets=0, per_day_l=2_649.0), 2_649.0, 6.0)
    assert "about 2 649 litres a day, likely 2 639 to 2 659" in " ".join(
        study_screen(sure, results_folder=None).split()
    )


def test_a_fall_of_one_sure_digit_keeps_two() -> None:
    rough = answer(fall_m=2.545, fall_std_m=1.2159, findings=())
    assert "2.5 m  +- 2.0" in study_screen(rough, results_folder=None)


def test_a_stand_is_built_so_that_the_need_is_met_nine_times_in_ten() -> None:
    name = "outlet.house tap.stand_needed"
    whole = answer(outlets=1)
    sure = drawn(whole, middles={name: 3.6}, stds={name: 0.3})
    assert sure.drawn is not None
    assert sure.drawn.stand_sure_m("house tap") == pytest.approx(3.98, abs=0.02)
    said = verdict(sure)
    assert "Build the stand 4.0 m high instead of 2.0 m" in said.to_do
    assert "1.03 bar is then met nine times in ten." in said.to_do


def test_outlets_fed_by_the_spring_say_their_fall() -> None:
    fed = answer(ram=False, tank=False, needed_l=None, findings=())
    screen = study_screen(fed, results_folder=None)
    assert "spring water up to house tap" in screen
    assert "tank" not in screen.replace("house tap", "")
