"""The command ``terrain-head``: subcommands are imported only when one is called."""

from __future__ import annotations

import sys
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from terrain_head.errors import TerrainHeadError, Trouble

_COMMANDS = {
    "study": "Answer a study: fall, lift, water a day, pressures, pictures and a report.",
    "reduce": "Reduce and adjust a level book.",
    "profile": "Read a ground profile off an elevation raster.",
    "estimate": "The first rough answer from four numbers: is it worth surveying?",
    "compare": "Put the choices of a study side by side.",
    "find": "Where a pipe best goes, over an elevation raster.",
    "check": "Check a study file, and count its blanks.",
    "new": "Start a study with your own names filled in.",
    "pipes": "List the pipes that are known by their standard.",
}

_OF_CLICK = (click.ClickException, click.Abort, click.exceptions.Exit)
"""What the command library raises for its own ends."""


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

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command named first, or say which name was likely meant."""
        name = args[0]
        if name not in _COMMANDS and not name.startswith("-"):
            near = get_close_matches(name, _COMMANDS, n=1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            ctx.fail(f"There is no command '{name}'.{hint}")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; a fault of the program is told in words."""
        try:
            return super().invoke(ctx)
        except (TerrainHeadError, BrokenPipeError, *_OF_CLICK):
            raise
        except Exception as fault:
            raise _in_words(fault, ctx) from fault

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the one-line helps kept here."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


@click.group(
    cls=_LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 79},
)
@click.option("--debug", is_flag=True, help="Show where, if the program itself is at fault.")
@click.version_option(package_name="terrain_head", message="terrain-head %(version)s")
def group(*, debug: bool) -> None:
    """Plan a water supply that runs without bought power.

    A hydraulic ram or plain gravity, a raised tank, taps and beds: from rod readings or an
    elevation raster to fall, lift, pressures, and how sure all that is.
    """
    del debug


def _in_words(fault: Exception, ctx: click.Context) -> TerrainHeadError:
    """Return a fault of the program in words, its traceback printed before if that is wanted."""
    if ctx.params.get("debug"):
        import traceback

        click.echo("".join(traceback.format_exception(fault)), err=True)
        told = "What stands above shows where."
    else:
        told = "The same command with --debug right after terrain-head shows where."
    return TerrainHeadError(
        "This is a fault of the program, not of your files.",
        Trouble(what=f"{type(fault).__name__}: {fault}".removesuffix(": ")),
        Trouble(what=f"{told} Whoever mends it needs that, and your study."),
        left_alone="No file was left half-written, and yours are as they were.",
    )


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
