"""What one table of the study file says of another: pipes, tanks and outlets named elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terrain_head.base.names import quoted_key, quoted_text
from terrain_head.files.study_keys import TANK
from terrain_head.files.study_names import is_blank, nearest
from terrain_head.files.study_values import Ledger
from terrain_head.scheme.parts import Outlet


def tank_tables(values: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Return the tanks by name: a lone ``[tank]`` is ``tank``."""
    named: dict[str, Mapping[str, Any]] = {
        key: held for key, held in values.items() if isinstance(held, dict)
    }
    if named and not any(key in TANK for key in values):
        return named
    return {"tank": values}


def check_pipe_names(
    values: Mapping[str, Any], ledger: Ledger, *, gone: set[tuple[str, ...]]
) -> None:
    """Note pipes that the ram names and the study has not, where it has any."""
    pipes = values.get("pipe", {})
    ram = values.get("ram", {})
    if not pipes:
        return
    named: list[tuple[tuple[str, ...], object]] = [
        (("ram", key), ram.get(key)) for key in ("drive", "delivery")
    ]
    feed = ram.get("feed", [])
    named += (
        [(("ram", "feed", str(i)), name) for i, name in enumerate(feed)]
        if isinstance(feed, list)
        else [(("ram", "feed"), feed)]
    )
    for path, name in named:
        if not isinstance(name, str) or is_blank(name) or name.strip() in pipes:
            continue
        if ("pipe", name.strip()) in gone or ("pipe",) in gone:
            continue
        near = nearest(name, pipes)
        ledger.wrong(
            path,
            f'there is no pipe "{name}". Pipes here: {", ".join(pipes)}.',
            write=f'{path[1]} = "{near}"' if near else f"[pipe.{name}]",
        )


def check_ram_ends(
    values: Mapping[str, Any], ledger: Ledger, *, gone: set[tuple[str, ...]]
) -> None:
    """Note, in one trouble, the pipes that still join a ram which the study has not."""
    held_there = [outlet.get("place") for outlet in values.get("outlet", {}).values()]
    if "ram" in values or "ram" in held_there or "source" not in values:
        return
    joined = [
        (name, key)
        for name, pipe in values.get("pipe", {}).items()
        for key in ("from", "to")
        if isinstance(pipe.get(key), str) and pipe[key].strip() == "ram"
    ]
    if not joined:
        return
    tables = list(dict.fromkeys(f"pipe.{quoted_key(name)}" for name, _ in joined))
    named = " and ".join(f"[{table}]" for table in tables)
    cure = '[pipe.down]\nfrom = "source"\nto = "tank"'
    if ("ram",) in gone:
        cure = f"without = [{', '.join(quoted_text(table) for table in ('ram', *tables))}]"
    ledger.wrong(
        ("pipe", *joined[0]),
        f"there is no [ram]. Take out {named} too, with all their lines, and let one pipe go "
        "from the source to the tank.",
        write=cure,
    )


def check_tank_ends(
    values: Mapping[str, Any], ledger: Ledger, *, gone: set[tuple[str, ...]]
) -> None:
    """Note pipe ends that name a tank which the study has not."""
    if "tank" in values:
        tanks = tank_tables(values["tank"])
        lone = "tank" in tanks
        known = ["tank"] if lone else [f"tank.{name}" for name in tanks]
    else:
        lone, known = True, []
    for name, pipe in values.get("pipe", {}).items():
        for key in ("from", "to"):
            end = pipe.get(key)
            if not isinstance(end, str) or end.strip() in known:
                continue
            dotted_end = end.strip().startswith("tank.")
            if not dotted_end and (lone or end.strip() != "tank"):
                continue
            if ("tank",) in gone or tuple(end.strip().split(".", 1)) in gone:
                continue
            near = nearest(end, known) or (known[0] if known else "")
            ledger.wrong(
                ("pipe", name, key),
                f'there is no tank "{end}".'
                + (f" Tanks here: {', '.join(known)}." if known else " There is none at all."),
                write=f'{key} = "{near}"' if near else "[tank]",
            )


def read_together(
    values: Mapping[str, Any],
    ledger: Ledger,
    *,
    outlets: tuple[Outlet, ...],
    gone: set[tuple[str, ...]],
) -> dict[str, tuple[str, ...]]:
    """Return which outlets run at once, by the name of the group.

    Parameters
    ----------
    values
        The study's tables.
    ledger
        Where troubles and blanks go.
    outlets
        The outlets that were read; one whose place is still blank is passed over.
    gone
        Tables that the choice took away.
    """
    written = values.get("outlet", {})
    drawn = {outlet.name for outlet in outlets}
    groups: dict[str, tuple[str, ...]] = {}
    for group, given in values.get("together", {}).items():
        names = [given] if isinstance(given, str) else given
        path = ("together", group)
        if is_blank(given):
            ledger.blanks.append(ledger.written_at(path))
            continue
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            ledger.wrong(path, "a list of outlets is wanted.", write=f'{group} = ["beds", "tap"]')
            continue
        kept = []
        for number, raw_name in enumerate(names):
            name = raw_name.strip()
            if is_blank(name):
                ledger.blanks.append(ledger.written_at((*path, str(number))))
            elif name in written:
                kept += [name] if name in drawn and name not in kept else []
            elif ("outlet", name) not in gone and ("outlet",) not in gone:
                near = nearest(name, written)
                known = f" Outlets here: {', '.join(written)}." if written else ""
                ledger.wrong(
                    (*path, str(number)),
                    f'there is no outlet "{name}".{known}',
                    write=f'{group} = ["{near}"]' if near else f"[outlet.{name}]",
                )
        if kept:
            groups[group] = tuple(kept)
    return groups
