"""Source, ram, tanks, pipes and outlets of the study file, and the values taken for want of any."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from terrain_head.base.citation import OURS
from terrain_head.base.measured import Measured
from terrain_head.files.study_costs import read_costs
from terrain_head.files.study_keys import MONTHS, RAM, SOURCE, TANK, WATER
from terrain_head.files.study_links import (
    check_pipe_names,
    check_ram_ends,
    check_tank_ends,
    read_together,
    tank_tables,
)
from terrain_head.files.study_names import is_blank
from terrain_head.files.study_outlets import read_outlet, read_seep
from terrain_head.files.study_pipes import read_pipe
from terrain_head.files.study_values import Ledger, TableReader
from terrain_head.scheme.parts import (
    WATER_TEMPERATURE_C,
    ZERO,
    Parts,
    Ram,
    Source,
    Taken,
    Tank,
)
from terrain_head.scheme.ram_cycle import CLOSING_SHARE, CLOSING_SHARE_CITATION

WATER_DEPTH_M = 1.5
Word = TypeVar("Word", bound=str)


def read_parts(values: Mapping[str, Any], ledger: Ledger, *, gone: set[tuple[str, ...]]) -> Parts:
    """Return the parts of the scheme.

    Parameters
    ----------
    values
        The study's tables, each already known to be a table.
    ledger
        Where troubles, blanks and taken values go.
    gone
        Tables that the choice took away: what still names them is no trouble.
    """
    temperature = _temperature(values.get("water", {}), ledger)
    source = _source(values["source"], ledger) if "source" in values else None
    seeps = tuple(
        seep
        for name, table in values.get("seep", {}).items()
        if (seep := read_seep(name, table, ledger=ledger)) is not None
    )
    ram = _ram(values["ram"], ledger) if "ram" in values else None
    tanks = _tanks(values["tank"], ledger) if "tank" in values else ()
    open_ends = _unplaced(values, source=source, ram=ram, tanks=tanks)
    open_ends |= {f"seep.{name}" for name in values.get("seep", {})} - {
        f"seep.{seep.name}" for seep in seeps
    }
    prices = read_costs(values.get("costs", {}), ledger)
    pipes = tuple(
        pipe
        for name, table in values.get("pipe", {}).items()
        if (pipe := read_pipe(name, table, ledger=ledger, prices=prices)) is not None
        and not {pipe.start, pipe.end} & open_ends
    )
    outlets = tuple(
        outlet
        for name, table in values.get("outlet", {}).items()
        if (outlet := read_outlet(name, table, ledger=ledger)) is not None
    )
    check_pipe_names(values, ledger, gone=gone)
    check_ram_ends(values, ledger, gone=gone)
    check_tank_ends(values, ledger, gone=gone)
    return Parts(
        source=source,
        seeps=seeps,
        ram=ram,
        tanks=tanks,
        pipes=pipes,
        outlets=outlets,
        together=read_together(values, ledger, outlets=outlets, gone=gone),
        water_temperature_c=temperature,
        taken=tuple(ledger.taken),
        prices=prices,
    )


def _take(
    ledger: Ledger, key: str, value_si: float, unit: str, why: str, *, taken: float | None = None
) -> float:
    ledger.taken.append(Taken(key=key, value_si=value_si, unit=unit, citation=OURS.at(why)))
    return value_si if taken is None else taken


def _temperature(values: Mapping[str, Any], ledger: Ledger) -> float:
    stated = TableReader(ledger, ("water",), values=values, keys=WATER).measured("temperature")
    if stated is not None:
        return stated.value
    return _take(ledger, "water.temperature", WATER_TEMPERATURE_C, "C", "spring water at 10 C")


def _or_zero(table: TableReader, key: str, why: str) -> Measured:
    stated = table.measured(key)
    if stated is None:
        name = ".".join((*table.path, key))
        _take(table.ledger, name, 0.0, "m", why)
        return ZERO
    return stated


def _source(values: Mapping[str, Any], ledger: Ledger) -> Source | None:
    table = TableReader(ledger, ("source",), values=values, keys=SOURCE)
    place = table.text("place")
    water_above = _or_zero(table, "water_above", "the named point is the water's surface")
    flow, monthly = _flow(table)
    share = table.measured("share")
    if share is None and flow is not None:
        _take(ledger, "source.share", 1.0, "1", "all that the source gives may be taken")
    if place is None:
        return None
    return Source(
        place=place,
        water_above_m=water_above,
        flow_m3_s=flow,
        monthly_m3_s=monthly,
        season=_one_of(table.word("season"), "dry", "other"),
        share=1.0 if share is None else share.value,
    )


def _flow(table: TableReader) -> tuple[Measured | None, tuple[float, ...] | None]:
    given = table.values.get("flow")
    if not isinstance(given, dict):
        return table.measured("flow"), None
    path = (*table.path, "flow")
    by_month: dict[str, Measured] = {}
    open_months = False
    for name, value in given.items():
        month = name.casefold()[:3]
        if month not in MONTHS or month in by_month:
            table.ledger.wrong(
                (*path, name),
                f"months are written {', '.join(MONTHS)}, each once.",
                mark_key=True,
            )
            open_months = True
        elif is_blank(value):
            table.ledger.blanks.append(table.ledger.written_at((*path, name)))
            open_months = True
        else:
            stated = table.ledger.quantity((*path, name), value, entry=SOURCE["flow"], name=name)
            if stated is None:
                open_months = True
            else:
                by_month[month] = stated
    if open_months:
        return None, None
    missing = [month for month in MONTHS if month not in by_month]
    if missing:
        table.wrong(
            "flow",
            f"a flow by month needs all twelve; {', '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} missing.",
            write='flow = { jan = "60 L/min", feb = "58 L/min", ... dec = "55 L/min" }',
        )
        return None, None
    least = min(by_month.values(), key=lambda stated: stated.value)
    return least, tuple(by_month[month].value for month in MONTHS)


def _ram(values: Mapping[str, Any], ledger: Ledger) -> Ram | None:
    table = TableReader(ledger, ("ram",), values=values, keys=RAM)
    place = table.text("place")
    valve = _or_zero(table, "valve_above", "the named point is the waste valve's outlet")
    least, most = table.measured("flow_least"), table.measured("flow_most")
    flow = table.measured("flow")
    if least is not None and most is not None and least.value > most.value:
        table.wrong("flow_least", "it is more than flow_most.")
    elif flow is not None and least is not None and flow.value < least.value:
        table.wrong("flow", "it is less than flow_least: the ram would stop.")
    elif flow is not None and most is not None and flow.value > most.value:
        table.wrong("flow", "it is more than flow_most, which is the most that it can take.")
    ram = Ram(
        place=place or "",
        valve_above_m=valve,
        tail_water_above_m=table.measured("tail_water_above"),
        drive=table.text("drive") or "drive",
        feed=table.texts("feed"),
        delivery=table.text("delivery") or "delivery",
        laid=_one_of(table.word("laid"), "straight", "along the ground") or "straight",
        built=_one_of(table.word("built"), "bought", "home"),
        efficiency=table.measured("efficiency"),
        efficiency_of=_one_of(table.word("efficiency_of"), "ram", "whole line") or "ram",
        flow_m3_s=flow,
        flow_least_m3_s=least,
        flow_most_m3_s=most,
        count=table.count("count", 1),
        beats_hz=_beats(table),
    )
    return None if place is None else ram


def _beats(table: TableReader) -> Measured | None:
    stated = table.measured("beats")
    if stated is None:
        word = f"not counted; the waste valve shuts at {CLOSING_SHARE:g} of the steady velocity"
        taken = Taken(key="ram.beats", word=word, citation=CLOSING_SHARE_CITATION)
        table.ledger.taken.append(taken)
    return stated


def _tanks(values: Mapping[str, Any], ledger: Ledger) -> tuple[Tank, ...]:
    tables = tank_tables(values)
    if tables and "tank" not in tables:
        for key in values:
            if key not in tables:
                ledger.wrong(
                    ("tank", key),
                    "which tank is it of? The tanks here have names.",
                    write=f"[tank.{next(iter(tables))}]\n{key} = ...",
                    mark_key=True,
                )
    elif any(isinstance(held, dict) and key not in TANK for key, held in values.items()):
        inner = next(key for key, held in values.items() if isinstance(held, dict))
        ledger.wrong(
            ("tank", inner),
            "one tank has a name and one has none. Give each a name.",
            write=f"[tank.upper]\n[tank.{inner}]",
            mark_key=True,
        )
        return ()
    lone = len(tables) == 1 and tables.get("tank") is values
    tanks = (
        _tank(name, table, ledger, path=("tank",) if lone else ("tank", name))
        for name, table in tables.items()
    )
    return tuple(tank for tank in tanks if tank is not None)


def _tank(
    name: str, values: Mapping[str, Any], ledger: Ledger, *, path: tuple[str, ...]
) -> Tank | None:
    table = TableReader(ledger, path, values=values, keys=TANK)
    place = table.text("place")
    depth, inlet = table.measured("water_depth"), table.measured("inlet")
    if depth is None:
        key = ".".join((*path, "water_depth"))
        taken = _take(ledger, key, WATER_DEPTH_M, "m", "a tank of 1.5 m of water")
        depth = Measured(value=taken)
    lowest = _or_zero(table, "lowest", "the tank empties down to its deck")
    if lowest.value > depth.value:
        table.wrong("lowest", "it lies above the water of the full tank.", write='lowest = "0.2 m"')
    diameter, volume = table.measured("diameter"), table.measured("volume")
    if diameter is not None and volume is not None:
        table.wrong("volume", "diameter says it already. Keep one of the two.")
    tank = Tank(
        name=name,
        place=place or "",
        stand_m=table.measured("stand") or ZERO,
        water_depth_m=depth,
        lowest_m=lowest,
        inlet_m=depth if inlet is None else inlet,
        diameter_m=diameter,
        volume_m3=volume,
        legs=table.texts("legs"),
        count=table.count("count", 1),
        needed_m3_s=table.measured("needed"),
    )
    return None if place is None else tank


def _one_of(written: str | None, *words: Word) -> Word | None:
    """Return the one of these words that is written."""
    return next((word for word in words if word == written), None)


def _unplaced(
    values: Mapping[str, Any], *, source: Source | None, ram: Ram | None, tanks: tuple[Tank, ...]
) -> set[str]:
    """Return the ends that stand for parts whose place is still blank."""
    found = set()
    if "source" in values and source is None:
        found.add("source")
    if "ram" in values and ram is None:
        found.add("ram")
    placed = {tank.name for tank in tanks}
    for name in tank_tables(values.get("tank", {})) if "tank" in values else ():
        if name not in placed:
            found.add("tank" if name == "tank" else f"tank.{name}")
    return found
