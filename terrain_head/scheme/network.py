"""Which way the water goes: role and direction of every pipe, found by following the flow.

The flow begins at the source, at the ram and at the tanks; these part the pipes into lines that
are followed one by one, whichever way round each pipe was written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from terrain_head.base.names import heading
from terrain_head.errors import InputError, Trouble
from terrain_head.scheme.ends import RAM, SOURCE, node_of, seep_node, standing, tank_node
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
        Its end nodes; of a pipe in a ring the water may run either way.
    line
        Name of the line it belongs to: the first of the pipes that hang together with it.
    """

    run: PipeRun
    role: Role
    upstream: str
    downstream: str
    line: str


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
        With all that is wrong: a pipe joined to nothing, two deliveries, a drive pipe that does
        not come to the ram, a line not computed.
    """
    network = _Network(parts)
    network.follow_drive()
    network.check_delivery()
    network.follow_lines(full_m)
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
        self.seeps = {seep_node(seep) for seep in parts.seeps}
        self.outlets_at: dict[str, list[str]] = {}
        for outlet in parts.outlets:
            self.outlets_at.setdefault(outlet.place, []).append(outlet.name)
        self.legs: dict[str, Leg] = {}
        self.troubles: list[Trouble] = []
        self.filled: set[str] = set()

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
        for line in self.merged(self.lines()):
            if not line.fixed:
                lost = next(iter(line.ends))
                self.trouble(
                    f'Pipe "{lost}" is joined to nothing: neither to source, ram or tank, nor to '
                    "a pipe that comes from there.",
                    f'{heading("pipe", lost)}\nfrom = "{self.beginning()}"',
                )
            elif self.seeps & set(line.fixed):
                if self.can_gather(line):
                    self.follow(line, "gravity", sorted(self.seeps & set(line.fixed)))
            elif RAM in line.fixed:
                if self.can_pump(line):
                    self.follow(line, "delivery", [RAM])
            elif SOURCE in line.fixed and self.parts.ram is not None:
                self.trouble(
                    f"{' and '.join(quoted(line))} and the ram share the water of the source. How "
                    "it parts is not computed; let the pipe begin at a tank that the ram fills.",
                )
            elif SOURCE in line.fixed:
                self.follow(line, "gravity" if len(line.fixed) > 1 else "supply", [SOURCE])
            elif len(line.fixed) == 1:
                self.follow(line, "supply", line.fixed)
            else:
                between.append(line)
        self.follow_between(between, full_m)

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

    def merged(self, lines: list[JoinedPipes]) -> list[JoinedPipes]:
        """Take together all lines that share the water of the source."""
        apart = {RAM, *self.seeps}
        shared = [line for line in lines if SOURCE in line.fixed and not apart & set(line.fixed)]
        if len(shared) < 2 or not any(len(line.fixed) > 1 for line in shared):
            return lines
        whole = shared[0]
        for line in shared[1:]:
            whole = whole.within(line)
        return [whole, *(line for line in lines if line not in shared)]

    def can_gather(self, line: JoinedPipes) -> bool:
        """Say whether a line from seeps can be computed; else note the trouble."""
        ends = [node for node in line.fixed if node not in self.seeps]
        if RAM in ends:
            self.trouble(
                f"The pipes {', '.join(quoted(line))} join {_named(line.fixed)}. A seep runs into "
                "the source's box or into a tank.",
                f'{heading("pipe", next(iter(line.ends)))}\nto = "source"',
            )
        elif not ends:
            self.trouble(
                f"The pipes {', '.join(quoted(line))} join {_named(line.fixed)} and nothing else. "
                "Let them run into the source's box or into a tank.",
                f'{heading("pipe", next(iter(line.ends)))}\nto = "source"',
            )
        else:
            return True
        return False

    def can_pump(self, line: JoinedPipes) -> bool:
        """Say whether the line that leaves the ram can be computed; else note the trouble."""
        named = ", ".join(quoted(line))
        outlets = [name for node in sorted(line.nodes) for name in self.outlets_at.get(node, ())]
        tanks = [node for node in line.fixed if node in self.tanks]
        if SOURCE in line.fixed:
            self.trouble(
                f"The pipes {named} join {_named(line.fixed)}, which is not computed. Let the "
                "delivery go from the ram to a tank.",
            )
        elif len(tanks) > 1:
            self.trouble(
                f"The delivery ({named}) goes to {_named(tanks)}. How a ram's water parts is not "
                "computed; let it fill one of them, and a pipe lead on from there.",
            )
        elif line.ring():
            self.trouble(
                f"The pipes {', '.join(quoted(line, line.ring()))} of the delivery make a ring. A "
                "ram pushes through one pipe; take one of them away.",
            )
        elif outlets and not tanks:
            self.trouble(
                f'The outlet "{outlets[0]}" hangs on a delivery ({named}) that comes to no tank. '
                "A ram never rests: with the tap shut it pumps against a dead end and can burst "
                "the pipe. Let the delivery end at a tank.",
                f'{heading("pipe", next(iter(line.ends)))}\nto = "tank"',
            )
        elif not tanks and line.branches():
            self.trouble(
                f'The delivery ({named}) branches at "{line.branches()[0]}" and comes to no tank. '
                "Let it end at a tank.",
            )
        else:
            return True
        return False

    def follow_between(self, between: list[JoinedPipes], full_m: Mapping[str, float]) -> None:
        """Settle lines from tank to tank: from those that are filled, else from the highest.

        Tanks that stand on one line with outlets and are filled by nothing all feed them.
        """
        left = list(between)
        while left:
            line = next((one for one in left if self.roots(one)), None)
            if line is not None:
                roots = self.roots(line)
            else:
                line = max(left, key=lambda one: max(full_m[node] for node in one.fixed))
                roots = list(line.fixed)
                if not any(node in self.outlets_at for node in line.nodes):
                    roots = [max(line.fixed, key=lambda node: full_m[node])]
            left.remove(line)
            feeds = len(roots) == len(line.fixed)
            self.follow(line, "supply" if feeds else "gravity", roots)

    def roots(self, line: JoinedPipes) -> list[str]:
        """Return the tanks of a line that something else fills."""
        return [node for node in line.fixed if node in self.filled]

    def follow(self, line: JoinedPipes, role: Role, roots: list[str]) -> None:
        name_of_line = next(iter(line.ends))
        for name, (upstream, downstream) in line.directions(*roots).items():
            self.legs[name] = Leg(
                run=self.runs[name],
                role=role,
                upstream=upstream,
                downstream=downstream,
                line=name_of_line,
            )
        self.filled.update(set(line.fixed) - set(roots))

    def beginning(self) -> str:
        """Return where a pipe to an outlet would begin."""
        return tank_node(self.parts.tanks[0]) if self.parts.tanks else SOURCE

    def direct(self, name: str, role: Role, upstream: str) -> str:
        """Settle one pipe and return its downstream node."""
        first, second = self.ends[name]
        downstream = second if first == upstream else first
        run = self.runs[name]
        self.legs[name] = Leg(
            run=run, role=role, upstream=upstream, downstream=downstream, line=name
        )
        return downstream


def _named(nodes: list[str] | Ends) -> str:
    words = {SOURCE: "the source", RAM: "the ram", "tank": "the tank"}
    return " and ".join(words.get(node, f'"{node}"') for node in nodes)


def quoted(line: JoinedPipes, names: list[str] | None = None) -> list[str]:
    """Return the names of a line's pipes in quotation marks."""
    return [f'"{name}"' for name in (sorted(names) if names is not None else line.ends)]
