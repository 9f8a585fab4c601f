"""The command ``terrain-head``: subcommands are imported only when one is called."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

import click

from terrain_head.errors import TerrainHeadError

_COMMANDS = {
    "study": "Answer a study: fall, lift, water a day, pressures, pictures and a report.",
    "reduce": "Reduce and adjust a level book.",
    "profile": "Read a ground profile off an elevation raster.",
    "estimate": "The first rough answer from four numbers: is it worth surveying?",
    "compare": "Put the choices of a study side by side.",
    "check": "Check a study file, and count its blanks.",
    "new": "Start a study with your own names filled in.",
    "pipes": "List the pipes that are known by their standard.",
}


class _LazyGroup(click.Group):
    """A group that knows its commands' names and one-line helps without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order in which a person needs them."""
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command."""
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        module = import_module(f"terrain_head.cli.{cmd_name}")
        command = module.command
        if not isinstance(command, click.Command):
            raise TypeError(f"terrain_head.cli.{cmd_name}.command is not a command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the one-line helps kept here."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


@click.group(
    cls=_LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 79},
)
@click.version_option(package_name="terrain_head", message="terrain-head %(version)s")
def group() -> None:
    """Plan a water supply that runs without bought power.

    A hydraulic ram or plain gravity, a raised tank, taps and beds: from rod readings or an
    elevation raster to fall, lift, pressures, and how sure all that is.
    """


def main(arguments: list[str] | None = None) -> None:
    """Run the command; the exit code says what happened (docs/house.md lists them)."""
    sys.exit(run(arguments))


def run(arguments: list[str] | None = None) -> int:
    """Run the command and return its exit code."""
    try:
        outcome: Any = group.main(arguments, prog_name="terrain-head", standalone_mode=False)
    except TerrainHeadError as error:
        click.echo(str(error), err=True)
        return error.exit_code
    except click.exceptions.Abort:
        click.echo("Stopped. Nothing was left half-written.", err=True)
        return 1
    except click.ClickException as error:
        error.show()
        return error.exit_code
    return outcome if isinstance(outcome, int) else 0
