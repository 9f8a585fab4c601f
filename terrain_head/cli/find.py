"""``terrain-head find``: where things may go; each job has a module of its own."""

from __future__ import annotations

from importlib import import_module

import click

_JOBS = {
    "sites": "Where ram and tank may stand under the spring.",
    "route": "Where a pipe between two places best goes.",
}


class _LazyJobs(click.Group):
    """A group that knows its jobs' names and one-line helps without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the jobs."""
        del ctx
        return list(_JOBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one job."""
        del ctx
        if cmd_name not in _JOBS:
            return None
        command = import_module(f"terrain_head.cli.find_{cmd_name}").command
        if not isinstance(command, click.Command):
            raise TypeError(f"terrain_head.cli.find_{cmd_name}.command is not a command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of jobs from the one-line helps, without importing any."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(_JOBS.items()))


@click.group(
    name="find",
    cls=_LazyJobs,
    epilog="Example: terrain-head find route orchard/study.toml --from spring --to tank",
)
def command() -> None:
    """Find where things may go, on an elevation raster or among surveyed points."""
