"""Which way the water goes: role and direction of every pipe, found by following the flow.

The flow begins at the source, at the ram and at the tanks; these part the pipes into lines that
are followed one by one, whichever way round each pipe was written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from terrain_head.base.names import heading
from terrain_head.errors import InputError, Trouble
from terrain_head.scheme.ends import RAM, SOURCE, node_of, standing, tank_node
from terrain_head.scheme.joined_pipes import Ends, JoinedPipes
from terrain_head.scheme.layout import Role
from terrain_head.scheme.parts import Parts, PipeRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A pipe that knows what it does and which way its water goes.

    Parameters
    ----------
    run
        The pipe as stated.
    role
        What it does.
    upstream, downstream
        Its end nodes.
    """

    run: PipeRun
    role: Role
    upstream: str
    downstream: str


def join(parts: Parts, *, full_m: Mapping[str, float]) -> tuple[Leg, ...]:
    """Return role and direction of every pipe.

    Parameters
    ----------
    parts
        The parts of the scheme as stated, their ends settled (`courses_of` has passed).
    full_m
        Full level of each tank by its node: of two tanks that nothing fills, the higher one feeds
        the lower [m].

    Returns
    -------
    tuple of Leg
        One per pipe, in the order of the study.

    Raises
    ------
    InputError
        With all that is wrong: a ring, a pipe joined to nothing, an outlet that no pipe reaches,
        two deliveries, a drive pipe that does not come to the ram, a line not computed yet.
    """
    network = _Network(parts)
    network.follow_drive()
    network.check_delivery()
    network.follow_lines(full_m)
    network.check_outlets()
    if network.troubles:
        raise InputError("The pipes do not make a scheme yet.", *network.troubles)
    return tuple(network.legs[run.name] for run in parts.pipes)


class _Network:
    def __init__(self, parts: Parts) -> None:
        self.parts = parts
        self.runs = {run.name: run for run in parts.pipes}
        self.ends: dict[str, Ends] = {
            run.name: (node_of(run.start, parts=parts), node_of(run.end, parts=parts))
            for run in parts.pipes
        }
        self.fixed = set(standing(parts))
        self.tanks = {tank_node(tank) for tank in parts.tanks}
        self.outlets_at: dict[str, list[str]] = {}
        for outlet in parts.outlets:
            self.outlets_at.setdefault(outlet.place, []).append(outlet.name)
        self.legs: dict[str, Leg] = {}
        self.reached: set[str] = set()
        self.troubles: list[Trouble] = []
        self.fills: dict[str, str] = {}
        self.takers: dict[str, list[str]] = {}

    def trouble(self, what: str, write: str = "") -> None:
        self.troubles.append(Trouble(what=what, write=write))

    def follow_drive(self) -> None:
        """Settle the feed pipes and the drive pipe."""
        ram = self.parts.ram
        if ram is None:
            return
        node: str | None = SOURCE if self.parts.source is not None else None
        for name in ram.feed:
            if name not in self.ends:
                self.trouble(
                    f'[ram] feed names the pipe "{name}"; there is none.', "[ram]\nfeed = []"
                )
                return
            ends = self.ends[name]
            if node is None or node not in ends:
                self.trouble(
                    f'The feed pipe "{name}" joins {_named(ends)}. The feed pipes must follow '
                    "one another from the source to the box where the drive pipe begins.",
                    "[ram]\nfeed = [the pipe from the source, the next, ...]",
                )
                return
            node = self.direct(name, "feed", node)
        if ram.drive in self.ends:
            ends = self.ends[ram.drive]
            begin = node or next((end for end in ends if end != RAM), RAM)
            if set(ends) == {begin, RAM}:
                self.direct(ram.drive, "drive", begin)
            else:
                wanted = "the source" if begin == SOURCE else f'"{begin}"'
                self.trouble(
                    f'The drive pipe "{ram.drive}" joins {_named(ends)}. It must join {wanted} '
                    "and the ram; pipes that bring the water to it are listed under [ram] feed.",
                    f'{heading("pipe", ram.drive)}\nfrom = "{begin}"\nto = "ram"',
                )

    def check_delivery(self) -> None:
        """See that one pipe leaves the ram, and that it is the one called the delivery."""
        ram = self.parts.ram
        if ram is None:
            return
        leaving = [n for n, pair in self.ends.items() if RAM in pair and n != ram.drive]
        if len(leaving) > 1:
            named = " and ".join(f'"{name}"' for name in leaving)
            self.trouble(
                f"Two deliveries: {named} both leave the ram. Leave one; others begin at the tank."
            )
        elif leaving and leaving[0] != ram.delivery:
            self.trouble(
                f'The pipe "{leaving[0]}" leaves the ram; [ram] calls its delivery pipe '
                f'"{ram.delivery}".',
                f'[ram]\ndelivery = "{leaving[0]}"',
            )
        elif not leaving and ram.delivery in self.ends:
            self.trouble(
                f'The delivery pipe "{ram.delivery}" joins '
                f"{_named(self.ends[ram.delivery])}. It must leave the ram.",
                f'{heading("pipe", ram.delivery)}\nfrom = "ram"',
            )

    def follow_lines(self, full_m: Mapping[str, float]) -> None:
        """Settle all other pipes, line by line."""
        between: list[JoinedPipes] = []
        for line in self.lines():
            ring = line.ring()
            if ring:
                named = ", ".join(f'"{name}"' for name in sorted(ring))
                self.trouble(
                    f"The pipes {named} make a ring; only trees are computed. Take one of them "
                    "away.",
                )
            elif not line.fixed:
                lost = next(iter(line.ends))
                self.trouble(
                    f'Pipe "{lost}" is joined to nothing: neither to source, ram or tank, nor to '
                    "a pipe that comes from there.",
                    f'{heading("pipe", lost)}\nfrom = "{self.beginning()}"',
                )
            elif len(line.fixed) == 1 and line.fixed[0] != RAM:
                self.follow(line, "supply", line.fixed[0])
            elif self.is_plain(line):
                if RAM in line.fixed:
                    self.follow(line, "delivery", RAM)
                elif SOURCE in line.fixed:
                    self.follow(line, "gravity", SOURCE)
                else:
                    between.append(line)
        self.follow_between(between, full_m)
        self.check_takers()

    def lines(self) -> list[JoinedPipes]:
        """Part the pipes not yet settled into lines."""
        left = {n: pair for n, pair in self.ends.items() if n not in self.legs}
        if self.parts.ram is not None:
            left = {
                n: pair
                for n, pair in left.items()
                if n != self.parts.ram.drive and n not in self.parts.ram.feed
            }
        lines = []
        while left:
            name, pair = next(iter(left.items()))
            line = {name: pair}
            del left[name]
            reach = set(pair) - self.fixed
            while reach:
                more = {n: p for n, p in left.items() if set(p) & reach}
                line.update(more)
                for other in more:
                    del left[other]
                reach = {node for p in more.values() for node in p} - self.fixed
            lines.append(JoinedPipes(line, self.fixed))
        return lines

    def is_plain(self, line: JoinedPipes) -> bool:
        """Say whether a line to a tank is one that can be computed; else note the trouble."""
        before = len(self.troubles)
        what = "delivery pipe" if RAM in line.fixed else "pipe that fills the tank"
        named = ", ".join(f'"{name}"' for name in line.ends)
        for node in sorted(line.nodes - set(line.fixed)):
            for outlet in self.outlets_at.get(node, ()):
                self.reached.add(outlet)
                self.trouble(
                    f'The outlet "{outlet}" hangs on the {what} ({named}). Water drawn on the '
                    "way to a tank is not computed yet.",
                    f'[pipe.NAME]\nfrom = "{self.beginning()}"\nto = "{node}"',
                )
        if len(self.troubles) == before and line.branches():
            place = line.branches()[0]
            meeting = ", ".join(f'"{name}"' for name in line.at(place))
            self.trouble(
                f'The pipes {meeting} meet at "{place}" on the {what}. A tee there is not '
                "computed yet; let the branch begin at a tank.",
            )
        elif len(self.troubles) == before and (
            len(line.fixed) > 2 or {RAM, SOURCE} <= set(line.fixed)
        ):
            self.trouble(
                f"The pipes {named} join {_named(line.fixed)}, which is not computed yet. Let "
                "each line go from one beginning to one tank.",
            )
        return len(self.troubles) == before

    def follow_between(self, between: list[JoinedPipes], full_m: Mapping[str, float]) -> None:
        """Settle lines from tank to tank: from the one that is filled, else from the higher."""
        left = list(between)
        while left:
            line = next((one for one in left if sum(n in self.fills for n in one.fixed) == 1), None)
            if line is not None:
                root = next(node for node in line.fixed if node in self.fills)
            else:
                line = max(left, key=lambda one: max(full_m[node] for node in one.fixed))
                root = max(line.fixed, key=lambda node: full_m[node])
            left.remove(line)
            self.follow(line, "gravity", root)

    def follow(self, line: JoinedPipes, role: Role, root: str) -> None:
        for name, (upstream, downstream) in line.directions(root).items():
            run = self.runs[name]
            self.legs[name] = Leg(run=run, role=role, upstream=upstream, downstream=downstream)
        if role == "supply":
            for node in line.nodes - set(line.fixed):
                self.reached.update(self.outlets_at.get(node, ()))
            if root == SOURCE:
                self.takers.setdefault(root, []).append(f"supply {next(iter(line.ends))}")
            return
        named = next(iter(line.ends))
        if role == "gravity":
            self.takers.setdefault(root, []).append(named)
        for tank in sorted(set(line.fixed) - {root}):
            if tank in self.fills:
                self.trouble(
                    f'Two pipes fill {_named([tank])}: "{self.fills[tank]}" and "{named}". That '
                    "is not computed yet; leave one.",
                )
            self.fills[tank] = named

    def check_takers(self) -> None:
        """Refuse two lines that would have to share what one source or tank gives."""
        for root, lines in self.takers.items():
            into_tank = [name for name in lines if not name.startswith("supply ")]
            names = [f'"{name.removeprefix("supply ")}"' for name in lines]
            ram = root == SOURCE and self.parts.ram is not None
            if ram or (into_tank and len(lines) > 1):
                others = [*names, "the ram"] if ram else names
                self.trouble(
                    f"{' and '.join(others)} share the water of {_named([root])}. How it parts "
                    "is not computed yet; leave one.",
                )

    def check_outlets(self) -> None:
        """See that a pipe reaches every outlet."""
        if self.troubles:
            return
        for outlet in self.parts.outlets:
            if outlet.name not in self.reached:
                self.trouble(
                    f'No pipe reaches the outlet "{outlet.name}" at "{outlet.place}".',
                    f'[pipe.NAME]\nfrom = "{self.beginning()}"\nto = "{outlet.place}"',
                )

    def beginning(self) -> str:
        """Return where a pipe to an outlet would begin."""
        return tank_node(self.parts.tanks[0]) if self.parts.tanks else SOURCE

    def direct(self, name: str, role: Role, upstream: str) -> str:
        """Settle one pipe and return its downstream node."""
        first, second = self.ends[name]
        downstream = second if first == upstream else first
        run = self.runs[name]
        self.legs[name] = Leg(run=run, role=role, upstream=upstream, downstream=downstream)
        return downstream


def _named(nodes: list[str] | Ends) -> str:
    words = {SOURCE: "the source", RAM: "the ram", "tank": "the tank"}
    return " and ".join(words.get(node, f'"{node}"') for node in nodes)
