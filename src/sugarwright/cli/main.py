"""The ``sugarwright`` command: its commands, and what becomes of errors.

What a person gave and cannot be used is one message (or one JSON document) and exit code 2; a
traceback is always a fault of the program.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from typing import Annotated, Any

import typer

from sugarwright.cli.lazy import HELP_SETTINGS, LazyCommands
from sugarwright.cli.output import as_json, told
from sugarwright.cli.usage import UsageError, in_plain_words
from sugarwright.errors import SugarwrightError


class Commands(LazyCommands):
    """The commands, with the program's own errors told to the person."""

    table = {  # noqa: RUF012  the base class declares it
        "demo": "sugarwright.cli.demo:demo",
        "new": "sugarwright.cli.new:new",
        "check": "sugarwright.cli.check:check",
        "now": "sugarwright.cli.now:now",
        "plan": "sugarwright.cli.plan:plan",
        "card": "sugarwright.cli.card:card",
        "log": "sugarwright.cli.log:app",
        "simulate": "sugarwright.cli.simulate:simulate",
        "season": "sugarwright.cli.season:season",
        "membrane": "sugarwright.cli.membrane:membrane",
        "weather": "sugarwright.cli.weather:app",
        "finish": "sugarwright.cli.finish:app",
        "learn": "sugarwright.cli.learn:app",
        "ledger": "sugarwright.cli.ledger:app",
        "serve": "sugarwright.cli.serve:serve",
        "passphrase": "sugarwright.cli.passphrase:passphrase",
        "sensor": "sugarwright.cli.sensor:app",
    }

    def invoke(self, ctx: Any) -> Any:
        """Run the command that the words ask for."""
        with _refusing("--json" in [*ctx._protected_args, *ctx.args]):
            return super().invoke(ctx)

    def make_context(self, *args: Any, **kwargs: Any) -> Any:
        """Read the words before the command."""
        words = kwargs.get("args", args[1] if len(args) > 1 else ())
        with _refusing("--json" in words):
            return super().make_context(*args, **kwargs)


@contextlib.contextmanager
def _refusing(as_document: bool) -> Iterator[None]:
    """Tell what cannot be used, and leave with exit code 2."""
    try:
        yield
    except SugarwrightError as error:
        tell(error, as_document)
        raise typer.Exit(2) from None
    except UsageError as error:
        if type(error).__name__ == "NoArgsIsHelpError":  # the help itself, and no error
            raise
        tell(in_plain_words(error), as_document)
        raise typer.Exit(2) from None


def tell(error: SugarwrightError, as_document: bool) -> None:
    """Print an error: text on stderr, or the document that stdout was promised."""
    if as_document:
        from sugarwright.cli.documents import problems_of

        print(as_json(problems_of(error)))
    else:
        print(told(str(error)), file=sys.stderr)


app = typer.Typer(
    cls=Commands,
    name="sugarwright",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,  # plain help that reads the same everywhere
    pretty_exceptions_enable=False,
    context_settings=HELP_SETTINGS,
)


def _version(wanted: bool) -> None:
    if wanted:
        import importlib.metadata  # a tenth of a second that only this option needs

        print(f"sugarwright {importlib.metadata.version('sugarwright')}")
        raise typer.Exit


@app.callback()
def sugarwright(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    """Sugarwright helps a small maple sugarhouse decide its day.

    A sugarhouse is a folder with a file sugarhouse.toml in it. See what you get with `sugarwright
    demo`; make your own with `sugarwright new FOLDER`. Each command has a --help with an example.

    It gives estimates. They never replace watching the pan.
    """


BLAS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""How many threads may stand behind NumPy. Our matrices are small: several threads only wait for
each other, and on a busy machine one command took eight times as long."""


def run() -> None:
    """Run the command line; the entry point of the ``sugarwright`` script."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # no error where a letter cannot be shown
    for library in BLAS:
        os.environ.setdefault(library, "1")
    try:
        app(prog_name="sugarwright")
    finally:
        _flush()


def _flush() -> None:
    """Write out what is left; quietly if nobody reads it any more (``sugarwright plan | head``).

    Python would do it at its end, and complain there that the pipe is broken.
    """
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
