"""The page of commands, read off the commands themselves."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from importlib import import_module

import click

from standoff.cli import COMMANDS, INTERNAL_STATUS, INTERRUPTED_STATUS, READER_GONE_STATUS, USAGE_STATUS, main
from standoff.desk.placement import STATUS
from standoff.job.speech import HEADLINES

HEAD = """\
# Commands

`standoff COMMAND`; `standoff --help` and `standoff COMMAND --help` say the same on the screen.

| exit status | meaning |
| --- | --- |
"""


def commands_page() -> str:
    """All commands, their arguments and options, and what the exit status says."""
    with click.Context(main, info_name="standoff", **main.context_settings) as context:
        sections = [_section(name, context) for name in COMMANDS]
    statuses = (
        *((status, HEADLINES[verdict].lower()) for verdict, status in STATUS.items()),
        (USAGE_STATUS, "input or a command that cannot be used"),
        (INTERNAL_STATUS, "a fault of the program"),
        (INTERRUPTED_STATUS, "stopped by the user"),
        (READER_GONE_STATUS, "whatever read the output closed it"),
    )
    rows = "\n".join(f"| {status} | {meaning} |" for status, meaning in sorted(statuses))
    return "\n".join([f"{HEAD}{rows}\n", *sections])


def _section(name: str, parent: click.Context) -> str:
    command = import_module(COMMANDS[name][0]).command
    with click.Context(command, info_name=name, parent=parent) as context:
        usage = " ".join([context.command_path, *command.collect_usage_pieces(context)])
        rows = list(_options(command, context))
    text = inspect.cleandoc(command.help or "")
    table = "\n".join(["| option | meaning |", "| --- | --- |", *rows])
    return f"## standoff {name}\n\n    {usage}\n\n{text}\n\n{table}\n"


def _options(command: click.Command, context: click.Context) -> Iterator[str]:
    for option in command.get_params(context):
        record = option.get_help_record(context)
        if record is not None and isinstance(option, click.Option):
            names, meaning = (part.replace("|", "\\|") for part in record)
            yield f"| `{names}` | {meaning} |"
