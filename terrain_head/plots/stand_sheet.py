"""What each height of the stand gives: pressure at the outlets, and water into the tank."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.amounts import day_amount, pressure_amount, stand_amount
from terrain_head.base.display import Quantity, in_unit, unit_for
from terrain_head.base.middle import middle_along
from terrain_head.base.units import UnitSystem
from terrain_head.plots.labels import INK, PAPER, Label, LabelField
from terrain_head.plots.sheet import (
    FAINT,
    WATER,
    Frame,
    add_axes,
    head,
    new_sheet,
    step_of,
    tick_text,
)
from terrain_head.plots.system_sheet import heading
from terrain_head.plots.type_boxes import folded
from terrain_head.scheme.solution import StandSweep

FloatArray = NDArray[np.float64]

_PRESSURES = (
    "Each outlet while it runs, the tank at its lowest useful level; thick where that is too "
    "little."
)
_RINGS = (
    "Ring: the stand that is enough as often as not. Full dot: nine times in ten; build that one."
)
_WIDTH, _HEIGHT, _COLUMN = 1320.0, 560.0, 290.0


def stand_figure(answer: Answer) -> Figure | None:
    """Draw stand height against running pressure at each outlet, and against water a day.

    Parameters
    ----------
    answer
        One choice of a study.

    Returns
    -------
    matplotlib.figure.Figure or None
        One sheet, not yet saved; None where no stand was swept or it changes nothing known.
    """
    sweep = answer.solution.stand_sweep
    if sweep is None or len(sweep.stand_m) < 2:
        return None
    pressures, water = bool(sweep.running_low_pa), sweep.inflow_m3_s is not None
    if not (pressures or water):
        return None
    figure = new_sheet(_WIDTH, _HEIGHT)
    left = 84.0
    if pressures:
        width = 440.0 if water else 820.0
        _draw_pressures(_axes(figure, left, width), answer, sweep)
        left += width + _COLUMN + 80.0
    if water:
        _draw_water(_axes(figure, left, _WIDTH - left - 40), answer, sweep)
    stand = _stand_now(answer, sweep)
    note = _PRESSURES if pressures else ""
    if stand is not None:
        planned = stand_amount(stand, answer.units)
        note = f"Upright line: the stand as planned, {planned}. {note}"
    tank = "" if sweep.tank == "tank" else f" of {sweep.tank.removeprefix('tank.')}"
    notes = [note.strip()]
    if any(_sure_stand(answer, sweep, name) is not None for name in sweep.running_low_pa):
        notes.append(_RINGS)
    head(figure, f"{heading(answer)}: how high to build the stand{tank}", *notes)
    return figure


def _axes(figure: Figure, left: float, width: float) -> Axes:
    return add_axes(figure, Frame(left=left, bottom=62, width=width, height=_HEIGHT - 62 - 102))


def _draw_pressures(axes: Axes, answer: Answer, sweep: StandSweep) -> None:
    units = answer.units
    needs = {o.name: o.needs_pa.value for o in answer.layout.outlets if o.needs_pa is not None}
    lines = {name: middle_along(values) for name, values in sweep.running_low_pa.items()}
    everything = np.concatenate([*lines.values(), np.array([0.0, *needs.values()])])
    low, high = float(everything.min()), float(everything.max())
    _limits(axes, sweep.stand_m, low=low, high=high)
    _ticks(axes, units, quantity="pressure", word="running pressure")
    frame = axes.get_window_extent()
    room = LabelField(
        axes=axes, region_px=(frame.x0, frame.y0 + 2, frame.x1 + _COLUMN, frame.y1 - 2)
    )
    _now(axes, room, _stand_now(answer, sweep))
    if low < 0:
        axes.axhline(0.0, color=INK, linewidth=0.8)
    names = []
    for name, values in lines.items():
        axes.plot(sweep.stand_m, values, color=INK, linewidth=0.9, zorder=3)
        room.keep_clear(sweep.stand_m, values)
        need = needs.get(name)
        if need is not None:
            at = crossing(sweep.stand_m, values, need=need)
            weak = values < need
            stand, short = sweep.stand_m[weak], values[weak]
            if at is not None:
                stand, short = np.append(stand, at), np.append(short, need)
                axes.plot(
                    [at], [need], "o", color=INK, markerfacecolor=PAPER, markersize=6, zorder=5
                )
            axes.plot(stand, short, color=INK, linewidth=3.0, zorder=4)
            sure = _sure_stand(answer, sweep, name)
            if sure is not None and sure <= float(sweep.stand_m[-1]):
                level = float(np.interp(sure, sweep.stand_m, values))
                axes.plot([sure], [level], "o", color=INK, markersize=6, zorder=5)
        names.append(
            Label(
                text=_name_of(answer, sweep, name),
                anchors=((float(sweep.stand_m[-1]), float(values[-1])),),
                side="beside",
            )
        )
    room.place_column(names, left_px=frame.x1 + 26.0)


def _name_of(answer: Answer, sweep: StandSweep, name: str) -> str:
    units, values = answer.units, middle_along(sweep.running_low_pa[name])
    word = folded(name, width=30)
    need = need_of(answer, name)
    if need is None:
        return word
    asked = f"{word}\nneeds {pressure_amount(need, units)}"
    at = crossing(sweep.stand_m, values, need=need)
    if at is None and values[0] < need:
        return f"{asked}: NEVER HAS IT HERE"
    sure = _sure_stand(answer, sweep, name)
    if at is None and sure is None:
        return f"{asked}: always has it"
    lines = [] if sure is None else [f"nine times in ten: from {stand_amount(sure, units)} up"]
    if at is not None:
        middle_text = stand_amount(at, units)
        if sure is None:
            return f"{asked}: from {middle_text} up"
        lines.append(f"as often as not: from {middle_text} up")
    return "\n".join([asked, *lines])


def need_of(answer: Answer, name: str) -> float | None:
    """Return the pressure that an outlet needs, None where none was asked for [Pa].

    Parameters
    ----------
    answer
        One choice of a study.
    name
        Name of the outlet.
    """
    needs = (o.needs_pa for o in answer.layout.outlets if o.name == name)
    need = next(needs, None)
    return None if need is None else need.value


def _sure_stand(answer: Answer, sweep: StandSweep, name: str) -> float | None:
    return sure_stand(answer, name, least_m=float(sweep.stand_m[0]))


def sure_stand(answer: Answer, name: str, *, least_m: float) -> float | None:
    """Return the stand at which an outlet has its need nine times in ten [m].

    Parameters
    ----------
    answer
        One choice of a study.
    name
        Name of the outlet.
    least_m
        The lowest stand of the drawing [m].

    Returns
    -------
    float or None
        None where it was not drawn, no stand is so sure, or every one of the drawing is.
    """
    sure = None if answer.drawn is None else answer.drawn.stand_sure_m(name)
    return sure if sure is not None and sure > least_m else None


def _draw_water(axes: Axes, answer: Answer, sweep: StandSweep) -> None:
    if sweep.inflow_m3_s is None:
        return
    values = middle_along(sweep.inflow_m3_s)
    needed = [
        tank.needed_m3_s.value
        for tank in answer.layout.tanks
        if tank.name == sweep.tank and tank.needed_m3_s is not None
    ]
    top = max(float(values.max()), *needed, 1e-9)
    _limits(axes, sweep.stand_m, low=0.0, high=top)
    _ticks(axes, answer.units, quantity="per_day", word="water into the tank")
    room = LabelField(axes=axes)
    stand = _stand_now(answer, sweep)
    _now(axes, room, stand)
    axes.plot(sweep.stand_m, values, color=WATER, linewidth=2.2, zorder=3)
    room.keep_clear(sweep.stand_m, values)
    labels = []
    if stand is not None:
        here = float(np.interp(stand, sweep.stand_m, values))
        axes.plot([stand], [here], "o", color=WATER, markerfacecolor=PAPER, markersize=6, zorder=5)
        labels.append(
            Label(
                text=f"{day_amount(here, answer.units)} as planned",
                anchors=((stand, here),),
                ink=WATER,
            )
        )
    for need in needed:
        axes.axhline(need, color=INK, linewidth=0.9, linestyle=(0, (4, 3)))
        ends = (float(sweep.stand_m[0]), float(sweep.stand_m[-1]))
        room.keep_clear(ends, (need, need))
        labels.append(
            Label(
                text=f"wanted: {day_amount(need, answer.units)}",
                anchors=((sum(ends) / 2, need),),
                side="below",
            )
        )
    spots = tuple(
        (float(sweep.stand_m[0] + s * np.ptp(sweep.stand_m)), float(np.interp(
            sweep.stand_m[0] + s * np.ptp(sweep.stand_m), sweep.stand_m, values)))
        for s in (0.7, 0.5, 0.3, 0.85)
    )  # fmt: skip
    labels.append(
        Label(text="water that arrives", anchors=spots, ink=WATER, side="below", weight=2.0)
    )
    room.place(labels)


def crossing(stand_m: FloatArray, values: FloatArray, *, need: float) -> float | None:
    """Return the stand at which a need begins to be met, None if that is at once or never.

    Parameters
    ----------
    stand_m
        Heights of the stand, rising, shape (k,) [m].
    values
        What each gives, never falling, shape (k,).
    need
        What is needed, in the unit of the values.

    Returns
    -------
    float or None
        Height of the stand [m].

    Examples
    --------
    >>> crossing(np.array([0.0, 2.0, 4.0]), np.array([1.0, 2.0, 3.0]), need=2.5)
    3.0
    """
    enough = values >= need
    if enough[0] or not enough.any():
        return None
    i = int(np.argmax(enough))
    share = (need - values[i - 1]) / (values[i] - values[i - 1])
    return float(stand_m[i - 1] + share * (stand_m[i] - stand_m[i - 1]))


def _stand_now(answer: Answer, sweep: StandSweep) -> float | None:
    for tank in answer.layout.tanks:
        if sweep.tank in {tank.name, f"tank.{tank.name}"}:
            low, high = float(sweep.stand_m[0]), float(sweep.stand_m[-1])
            return tank.stand_m.value if low <= tank.stand_m.value <= high else None
    return None


def _now(axes: Axes, room: LabelField, stand: float | None) -> None:
    if stand is not None:
        axes.axvline(stand, color=INK, linewidth=0.9, linestyle=(0, (4, 3)), zorder=2)
        room.keep_clear([stand, stand], list(axes.get_ylim()))


def _limits(axes: Axes, stand: FloatArray, *, low: float, high: float) -> None:
    wide = float(stand[-1] - stand[0])
    tall = max(high - low, 1e-12)
    axes.set_xlim(float(stand[0]) - 0.03 * wide, float(stand[-1]) + 0.03 * wide)
    axes.set_ylim(low - (0.0 if low >= 0 else 0.08 * tall), high + 0.18 * tall)


def _ticks(axes: Axes, units: UnitSystem, *, quantity: Quantity, word: str) -> None:
    both: tuple[tuple[Axis, Quantity, int], ...] = (
        (axes.xaxis, "height", 9),
        (axes.yaxis, quantity, 7),
    )
    for axis, kind, most in both:
        one = in_unit(1.0, kind, units)
        low, high = (float(v) for v in axis.get_view_interval())
        step = step_of((high - low) * one, most)
        at = [k * step for k in range(math.ceil(low * one / step - 1e-9),
                                      math.floor(high * one / step + 1e-9) + 1)]  # fmt: skip
        decimals = max(0, -math.floor(math.log10(step) + 1e-9))
        axis.set_major_locator(FixedLocator([v / one for v in at]))
        axis.set_ticklabels([tick_text(v, decimals, units=units) for v in at])
    for value in axes.get_yticks():
        axes.axhline(float(value), color=FAINT, linewidth=0.4, zorder=0)
    axes.set_xlabel(f"height of the stand [{unit_for('height', units)}]", fontsize=8.5, color=INK)
    axes.set_ylabel(f"{word} [{unit_for(quantity, units)}]", fontsize=8.5, color=INK)
