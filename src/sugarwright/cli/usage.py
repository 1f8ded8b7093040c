"""What is wrong with a command line, in the words of all other errors.

The library that reads the command line has messages of its own, made for programmers. Here each of
its refusals becomes an error that names the option, what was typed, and how it is meant.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import typer

from sugarwright.cli.program import program
from sugarwright.errors import InputError, SugarwrightError

# The parent of all that Typer refuses, which it does not export.
UsageError: type[Exception] = typer.BadParameter.__mro__[1]


def in_plain_words(error: Any) -> SugarwrightError:
    """Return what Typer refused as an error of ours.

    Parameters
    ----------
    error : a ``UsageError`` of Typer; which one is known by its name, as it exports few of them
    """
    kind = type(error).__name__
    if kind == "NoSuchOption":
        return _no_option(error)
    if kind == "MissingParameter" and error.param is not None:
        parameter = error.param
        name = parameter.metavar or parameter.opts[-1]
        return InputError(name, None, "is needed", fix=_example(error.ctx))
    if kind == "BadOptionUsage" and error.ctx is not None:
        return _odd_value(error)
    return SugarwrightError(error.format_message())


def too_many(words: Sequence[str], ctx: Any) -> InputError:
    """Return the error about words that no argument takes; most lack the quotes around them."""
    fix = 'Put what belongs together in quotes: --sap "212 gal"'
    more = " ".join(words)
    return InputError("words", more, f"is more than `{_called(ctx)}` takes", fix=fix)


def no_command(word: str, known: Sequence[str], ctx: Any) -> InputError:
    """Return the error about a command that is none."""
    near = nearest(word, known)
    hint = f"Did you mean `{_called(ctx)} {near[0]}`?" if near else ""
    fix = hint or f"`{_called(ctx)} --help` tells what each does"
    return InputError("command", word, "is no command", ", ".join(known), fix)


def whole_number(text: str, parameter: Any) -> int:
    """Return an option's whole number.

    Raises
    ------
    InputError : it is none, or outside the option's range
    """
    least, greatest = parameter.min, parameter.max
    allowed = _between(least, greatest)
    option = parameter.opts[-1]
    usual = "" if parameter.default is None else f"As in {option} {parameter.default}"
    if not re.fullmatch(r"\s*[+-]?[0-9]{1,18}\s*", text):
        raise InputError(option, text, "is no whole number", allowed, usual)
    number = int(text)
    if (least is not None and number < least) or (greatest is not None and number > greatest):
        raise InputError(option, text, "is out of range", allowed, usual)
    return number


def _between(least: int | None, greatest: int | None) -> str:
    if least is not None and greatest is not None:
        return f"{least} to {greatest}"
    if least is not None:
        return f"{least} or more"
    return "" if greatest is None else f"{greatest} or less"


def nearest(word: str, known: Sequence[str], most: int = 1) -> list[str]:
    """Return the likeliest of the known words; none when no one is near."""
    import difflib  # not before something is mistyped

    return difflib.get_close_matches(word, known, n=most, cutoff=0.6)


def _no_option(error: Any) -> InputError:
    word: str = error.option_name
    known = [] if error.ctx is None else _options(error.ctx)
    near = nearest(word, known, most=2)
    hint = f"Did you mean {' or '.join(near)}? " if near else ""
    where = "" if error.ctx is None else _called(error.ctx)
    return InputError(word, None, "is no option here", fix=f"{hint}`{where} --help` lists them all")


def _odd_value(error: Any) -> InputError:
    """A value left out, or one given to an option that takes none."""
    option: str = error.option_name
    parameter = next((each for each in error.ctx.command.params if option in each.opts), None)
    if parameter is None or parameter.is_flag:
        return InputError(option, None, "takes no value", fix=f"Write {option} alone")
    return InputError(option, None, "needs a value after it", fix=parameter.help or "")


def _options(ctx: Any) -> list[str]:
    return [name for each in ctx.command.get_params(ctx) for name in each.opts if name[:2] == "--"]


def _example(ctx: Any) -> str:
    """Return the first example of a command's help, as a hint."""
    found = re.search(r"(?m)^Examples?:\n\s*sugarwright (.*)$", ctx.command.help or "")
    return f"For example: `{program()} {found[1]}`" if found else ""


def _called(ctx: Any) -> str:
    """Return the words that lead to a command, as they are typed here."""
    return " ".join([program(), *ctx.command_path.split()[1:]])
