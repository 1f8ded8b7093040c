"""Commands that are imported when they are asked for, so that each starts as fast as it can."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable, Mapping
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from sugarwright.cli.usage import UsageError, no_command, too_many, whole_number

HELP_SETTINGS = {"help_option_names": ["-h", "--help"], "max_content_width": 80}


class AsTyped:
    """Hands a text or a flag to its command as it was typed; the command reads it itself.

    Typer would build a Pydantic validator for each, whose import takes longer than most commands.
    """

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the text, or the texts of an option that may be given several times."""
        several = param.multiple or param.nargs == -1
        return () if value is None and several else value


class WholeNumber:
    """Reads a whole number; what is none, or outside its range, is told as every other error."""

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the number, or None for an option left out that has no default."""
        return whole_number(value, param) if isinstance(value, str) else value


class Lean:
    """What groups and commands share: texts, whole numbers and flags need no validator."""

    def get_params(self, ctx: Any) -> Any:
        """Return the options and arguments, those for help among them."""
        parameters = super().get_params(ctx)  # type: ignore[misc]  # of the class mixed into
        for parameter in parameters:
            described = getattr(parameter, "type_descriptor", None)
            if described is not None and described.annotation in (str, list[str], bool):
                parameter._runtime_param = AsTyped()
            elif described is not None and described.annotation is int:
                parameter._runtime_param = WholeNumber()
        return parameters


class LeanCommand(Lean, TyperCommand):
    """A command whose texts reach it as they were typed."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the words; refuse those that nothing takes."""
        ctx.allow_extra_args = True
        try:
            left: list[str] = super().parse_args(ctx, args)
        except UsageError as error:
            error.ctx = error.ctx or ctx  # type: ignore[attr-defined]  # some lack it
            raise
        if left and not ctx.resilient_parsing:
            raise too_many(left, ctx)
        return left


class LazyCommands(Lean, TyperGroup):
    """A group whose commands are named in a table and imported one by one."""

    table: Mapping[str, str] = {}
    """Name of a command -> "module:function", or "module:app" for a group."""

    def list_commands(self, ctx: Any) -> list[str]:
        """Return the names of all commands, imported or not."""
        return list(self.table)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """Return a command, imported now if it was not yet."""
        if cmd_name in self.table and cmd_name not in self.commands:
            module, _, member = self.table[cmd_name].partition(":")
            found = getattr(importlib.import_module(module), member)
            self.commands[cmd_name] = _made(cmd_name, found)
        return super().get_command(ctx, cmd_name)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command that the words ask for."""
        known = self.list_commands(ctx)
        if args and args[0] not in known and not args[0].startswith("-"):
            raise no_command(args[0], known, ctx)
        return super().resolve_command(ctx, args)


def command_group(
    commands: type[LazyCommands],
    name: str,
    help_text: str,
    *,
    alone_is_help: bool = True,
    **more: Any,
) -> typer.Typer:
    """Return a group of commands.

    Parameters
    ----------
    commands : its class, with their table
    name : as it is typed
    help_text : shown above its commands
    alone_is_help : its name alone shows that help; else the group says what is done then
    more : settings of its context
    """
    app = typer.Typer(
        cls=commands,
        name=name,
        no_args_is_help=alone_is_help,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={**HELP_SETTINGS, **more},
        help=help_text,
    )
    app.callback()(_stand)
    return app


def _stand() -> None:
    """Stand for a group, whose help is given where it is made."""


def taught(command: Callable[..., Any]) -> str:
    """Return a command's help; the mark keeps the lines of its examples as they are."""
    return re.sub(r"(?m)^(Examples?:)$", "\b\n\\1", inspect.getdoc(command) or "")


def _made(name: str, found: Any) -> Any:
    """Return the command line's form of a function or of a group."""
    if isinstance(found, typer.Typer):
        return typer.main.get_group(found)
    alone = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    alone.command(name, cls=LeanCommand, help=taught(found))(found)
    return typer.main.get_command(alone)
