"""Generators for hypothesis: invented schemes on invented hills."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from terrain_head.ground.ground import Ground
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Outlet, Parts, PipeRun, Ram, Source, Tank
from tests.scheme.hills import hill, m, outlet, spec, tank


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """Parts with the ground they stand on."""

    parts: Parts
    ground: Ground

    def laid_out(self) -> Layout:
        """Return the parts on their ground."""
        return lay_out(self.parts, ground=self.ground)


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """Return lengths to the millimetre."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda mm: mm / 1000)


@st.composite
def runs(draw: st.DrawFn, name: str, start: str, end: str) -> PipeRun:
    """Return a pipe, written either way round, whose friction stays below a metre a metre."""
    ends = (start, end) if draw(st.booleans()) else (end, start)
    return PipeRun(
        name=name,
        start=ends[0],
        end=ends[1],
        spec=spec(
            draw(lengths(0.020, 0.060)),
            roughness_m=draw(st.sampled_from([0.0, 1.5e-6, 7e-6, 1e-4])),
        ),
        cover_m=m(draw(lengths(0.0, 0.8))),
        length_m=m(draw(lengths(400.0, 500.0))) if draw(st.booleans()) else None,
        fittings=draw(
            st.dictionaries(st.sampled_from(["gate valve", "elbow 90"]), st.integers(1, 3))
        ),
    )


@st.composite
def outlets_at(draw: st.DrawFn, name: str, place: str) -> Outlet:
    """Return an outlet with a flow and a need."""
    return outlet(
        name,
        place=place,
        height_m=draw(lengths(0.0, 1.5)),
        flow_m3_s=draw(st.integers(1, 20)) / 60_000,
        needs_pa=draw(st.integers(10, 150)) * 1e3,
    )


@st.composite
def supplies(draw: st.DrawFn) -> tuple[tuple[PipeRun, ...], tuple[Outlet, ...]]:
    """Return a tree of pipes below a tank, three outlets at two of its ends and at its tee."""
    pipes = (
        draw(runs("main", "tank", "bend")),
        draw(runs("to house", "bend", "house")),
        draw(runs("to beds", "bend", "beds")),
    )
    outlets = (
        draw(outlets_at("tap", "house")),
        draw(outlets_at("beds", "beds")),
        draw(outlets_at("trough", "bend")),
    )
    return pipes, outlets


@st.composite
def tanks_at(draw: st.DrawFn, place: str) -> Tank:
    """Return a lone tank on a stand."""
    depth_m = draw(lengths(1.0, 2.5))
    return tank(
        place=place,
        stand_m=draw(lengths(0.0, 6.0)),
        depth_m=depth_m,
        lowest_m=draw(lengths(0.0, 0.5)),
        inlet_m=depth_m + 0.1,
        needed_m3_s=2e-5,
    )


@st.composite
def ram_schemes(draw: st.DrawFn) -> Scheme:
    """Return a ram that fills a tank, which feeds three outlets."""
    pipes, outlets = draw(supplies())
    efficiency = draw(st.one_of(st.none(), st.floats(0.2, 0.7)))
    parts = Parts(
        source=Source(
            place="spring",
            water_above_m=m(draw(lengths(0.0, 0.5))),
            flow_m3_s=m(draw(st.integers(10, 90)) / 60_000),
            share=draw(st.sampled_from([0.5, 0.8, 1.0])),
        ),
        ram=Ram(
            place="hollow",
            valve_above_m=m(draw(lengths(0.0, 0.4))),
            efficiency=None if efficiency is None else m(efficiency),
            efficiency_of=draw(st.sampled_from(["ram", "whole line"])),
            built="bought",
            flow_m3_s=draw(st.one_of(st.none(), st.just(m(30 / 60_000)))),
            laid=draw(st.sampled_from(["straight", "along the ground"])),
        ),
        tanks=(draw(tanks_at("knoll")),),
        pipes=(
            draw(runs("drive", "source", "ram")),
            draw(runs("delivery", "ram", "tank")),
            *pipes,
        ),
        outlets=outlets,
        together=draw(st.sampled_from([{}, {"day": ("tap", "trough"), "evening": ("beds",)}])),
    )
    fall_m, lift_m = draw(lengths(2.0, 8.0)), draw(lengths(20.0, 45.0))
    heights = {
        "spring": 100.0,
        "hollow": 100.0 - fall_m,
        "knoll": 100.0 - fall_m + lift_m,
        "bend": draw(lengths(90.0, 110.0)),
        "house": draw(lengths(80.0, 110.0)),
        "beds": draw(lengths(80.0, 110.0)),
    }
    between = {
        name: draw(st.lists(lengths(85.0, 125.0), max_size=4)) for name in ("delivery", "main")
    }
    plan = {pipe.name: draw(lengths(40.0, 300.0)) for pipe in parts.pipes}
    return Scheme(parts=parts, ground=hill(parts, heights, between=between, plan_m=plan))


def layouts() -> st.SearchStrategy[Layout]:
    """Return layouts of `ram_schemes`."""
    return ram_schemes().map(Scheme.laid_out)
