"""Published lines that run out by gravity, written as studies and read back from their answers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from fluids.fittings import (
    K_ball_valve_Crane,
    K_gate_valve_Crane,
    bend_miter,
    bend_rounded,
    contraction_conical_Crane,
    entrance_sharp,
)
from fluids.piping import nearest_pipe

from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.fittings import TECHNICAL_PAPER_410
from terrain_head.workflows.study import answer_choice, open_study
from tests.worked_examples import WorkedExample

H6 = WorkedExample(
    name="two bores to an open end",
    kind="published",
    source=TECHNICAL_PAPER_410.at("problem 7.19"),
    inputs={"head": "11.5", "wide": "10", "narrow": "20", "roughness": "0.0018", "water": "60"},
    printed={"flow": "137"},
    looser_because={
        "flow": (
            "2.8",
            "2 %: the paper brings the coefficients of one bore to the other by the nominal 3 and "
            "2 in, where the pipes measure 3.068 and 2.067 in",
        )
    },
)
H7 = WorkedExample(
    name="six elbows and a ball valve to an open end",
    kind="independent code",
    source=TECHNICAL_PAPER_410.at(
        "problem 7.6, printed 781 at an assumed factor of 0.017; 746.5 where fluids iterates it"
    ),
    inputs={"head": "7", "length": "60", "roughness": "0.0018", "water": "15", "seat": "60"},
    printed={"flow": "781"},
    errata={"flow": "746.5"},
    looser_because={"flow": ("3.7", "0.5 %: entrance and exit are ours, 0.5 and 1.0")},
)


def litres_min(folder: Path, study: str) -> float:
    (folder / "study.toml").write_text(study, encoding="utf-8")
    answer = answer_choice(open_study(folder / "study.toml"))
    flow = answer.solution.outlets["end"].flow_m3_s
    assert flow is not None
    assert np.ndim(flow) == 0
    return from_si(float(flow), "L/min")


def test_a_reservoir_runs_out_through_two_bores(tmp_path: Path) -> None:
    _, wide, _, _ = nearest_pipe(NPS=3, schedule="40")
    _, narrow, _, _ = nearest_pipe(NPS=2, schedule="40")
    before = bend_miter(Di=wide, angle=90, method="Crane")
    before += K_gate_valve_Crane(D1=wide, D2=wide, angle=0.0)
    between = contraction_conical_Crane(wide, narrow, l=0.0)
    spec = f'roughness = "{H6.inputs["roughness"]} in", material = "steel"'
    flow = litres_min(
        tmp_path,
        f"""
        [water]
        temperature = "{H6.inputs["water"]} F"
        [place.pool]
        elevation = "{H6.inputs["head"]} ft"
        [place.joint]
        elevation = "5 ft"
        [place.end]
        elevation = "0 ft"
        [source]
        place = "pool"
        [pipe.wide]
        from = "source"
        to = "joint"
        length = "{H6.inputs["wide"]} ft"
        spec = {{ inside = "{1000 * wide} mm", {spec} }}
        more_loss = {before}
        [pipe.narrow]
        from = "joint"
        to = "end"
        length = "{H6.inputs["narrow"]} ft"
        spec = {{ inside = "{1000 * narrow} mm", {spec} }}
        more_loss = {between}
        [outlet.end]
        place = "end"
        flow = "open"
        """,
    )
    H6.assert_result("flow", from_si(to_si(flow, "L/min"), "gal/min"))


def test_a_tank_runs_out_through_elbows_and_a_ball_valve(tmp_path: Path) -> None:
    """The loss coefficients are those of the other library at the factor it ends with."""
    _, bore, _, _ = nearest_pipe(Do=0.080)
    factor = 0.0198
    more = 6 * bend_rounded(bore, angle=90, fd=factor, bend_diameters=0.65)
    more += K_ball_valve_Crane(D1=bore, D2=H7.given("seat") / 1000, angle=22.5, fd=factor)
    more += entrance_sharp() - 0.5
    flow = litres_min(
        tmp_path,
        f"""
        [water]
        temperature = "{H7.inputs["water"]} C"
        [place.pool]
        elevation = "{H7.inputs["head"]} m"
        [place.end]
        elevation = "0 m"
        [source]
        place = "pool"
        [pipe.line]
        from = "source"
        to = "end"
        length = "{H7.inputs["length"]} m"
        spec = {{ inside = "{1000 * bore} mm", roughness = "{H7.inputs["roughness"]} in" }}
        more_loss = {more}
        [outlet.end]
        place = "end"
        flow = "open"
        """,
    )
    H7.assert_result("flow", flow)
