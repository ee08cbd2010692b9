"""The command line: a group that knows its commands by name and loads a command's module only when it is called.

`--help` must answer at once, so the names and their one-line helps stand here as plain text, and nothing heavy is
imported. Each module offers its click command as `command`. This is also the outermost edge: an exit status of 1
says "does not fit", so nothing but a verdict may end with it.
"""

from __future__ import annotations

import importlib
import io
import os
import sys
import traceback
from typing import Final

import click

from standoff import __version__
from standoff.errors import StandoffError, exit_status

COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "place": ("standoff.cli.place", "Say where the loader must stand, or what keeps it from fitting."),
    "speed": ("standoff.cli.speed", "Say how fast each bar may turn and how hard it may be pushed."),
    "cycle": ("standoff.cli.cycle", "Run one bar through and say what goes into the controls."),
    "stock": ("standoff.cli.stock", "Say what a bar yields, what remnants cost and which length to buy."),
    "level": ("standoff.cli.level", "Say which foot goes up or down until the axes are in line."),
    "floor": ("standoff.cli.floor", "Say whether it fits on the floor and how to mark it out."),
    "runoff": ("standoff.cli.runoff", "Say how the run-off stands, and what passing it proves."),
    "check": ("standoff.cli.check", "Read a job file and name every error in it."),
    "serve": ("standoff.cli.serve", "Open the pages to work with at the machine."),
    "diagnose": ("standoff.cli.diagnose", "Say which dimension has changed since the record was made."),
    "new": ("standoff.cli.new", "Write a job file to fill in, every key explained."),
    "demo": ("standoff.cli.demo", "Solve the demonstration jobs that come with the program."),
}
"""Command name -> the module that holds it, and its help in one line."""

USAGE_STATUS: Final = 2
INTERNAL_STATUS: Final = 70
INTERRUPTED_STATUS: Final = 130
READER_GONE_STATUS: Final = 141


class Commands(click.Group):
    """The group whose commands are loaded when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name the commands in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load the command of that name, if there is one."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(COMMANDS[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the table of commands without loading any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> object:
        """Carry out a command; a failure is told in a sentence and never ends with a verdict's status."""
        try:
            return super().invoke(ctx)
        except click.ClickException as error:
            error.show()
            ctx.exit(USAGE_STATUS)
        except click.exceptions.Exit:
            raise
        except (KeyboardInterrupt, click.Abort):
            click.echo("Stopped before the end; give the same command again.", err=True)
            ctx.exit(INTERRUPTED_STATUS)
        except BrokenPipeError:
            # What read our output has closed it; the interpreter must not try to flush into it once more.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            ctx.exit(READER_GONE_STATUS)
        except StandoffError as error:
            click.echo(str(error), err=True)
            ctx.exit(exit_status(error))
        except Exception:
            traceback.print_exc()
            click.echo("That is a fault of the program, not of your file; report the lines above.", err=True)
            ctx.exit(INTERNAL_STATUS)


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="standoff")
def main() -> None:
    """At which distance behind the lathe must the bar loader stand?"""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # What goes into a file or another program is UTF-8, as job files are; a terminal gets what it can show.
            stream.reconfigure(encoding=None if stream.isatty() else "utf-8", errors="backslashreplace")
