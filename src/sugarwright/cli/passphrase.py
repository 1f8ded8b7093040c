"""``sugarwright passphrase``: who may open the pages from the network."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from sugarwright.cli.documents import PassphraseSet
from sugarwright.cli.folder import FolderArgument, JsonOption, house_in
from sugarwright.cli.output import as_json, note, say, wrapped
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.web.guard.passphrases import Role

_LONGEST_LINE = 1000
_LOG_ONLY = "--log-only"


def passphrase(
    folder: FolderArgument = ".",
    log_only: Annotated[
        bool,
        typer.Option(
            _LOG_ONLY, help="The one for helpers: with it the record is written, no more."
        ),
    ] = False,
    from_input: Annotated[
        bool,
        typer.Option("--from-input", help="Read it from standard input, one line, for scripts."),
    ] = False,
    remove: Annotated[
        bool, typer.Option("--remove", help=f"Take the one of {_LOG_ONLY} away again.")
    ] = False,
    sign_out: Annotated[
        bool, typer.Option("--sign-out", help="Sign all phones out; set nothing.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Who may open the pages from another device? Sets the passphrase for it.

    Needed for `sugarwright serve --lan` alone. It is asked for twice and not shown. Setting one
    signs out whoever came in with the one before. It is kept hashed, in FOLDER/lan.

    Examples:
      sugarwright passphrase my-sugarhouse
      sugarwright passphrase my-sugarhouse --log-only
      sugarwright passphrase my-sugarhouse --sign-out
    """
    house_in(folder)
    role: Role = "log" if log_only else "house"
    done = PassphraseSet(role, _done(folder, role, from_input, remove, sign_out))
    say(as_json(done) if json else wrapped(_TOLD[done.done]))


_TOLD = {
    "set": "The passphrase is set. Whoever came in with the one before must sign in again.",
    "removed": "Taken away: nobody comes in with it any more.",
    "signed out": "All phones are signed out.",
}


def _done(folder: str, role: Role, from_input: bool, remove: bool, sign_out: bool) -> str:
    """Do what was asked; return its name."""
    from sugarwright.web.guard.passphrases import Passphrases
    from sugarwright.web.guard.sessions import Sessions

    if sign_out:
        Sessions(folder).end_all()
        return "signed out"
    kept = Passphrases(folder)
    if remove:
        if role == "house":
            fix = f"Say {_LOG_ONLY} --remove for that of helpers, or set another one"
            problem = "would take away the passphrase of the house, and let nobody in"
            raise InputError("--remove", None, problem, fix=fix)
        kept.remove(role)
        return "removed"
    kept.set(role, _from_input() if from_input else ask_passphrase())
    return "set"


def ask_passphrase() -> str:
    """Ask for a new passphrase, twice; one to take is suggested.

    Raises
    ------
    InputError : there is nobody to ask; or it is too weak
    """
    from sugarwright.web.guard.passphrase import check_strength, suggested

    if not sys.stdin.isatty():
        fix = "Set it in a terminal; or, in a script, by `sugarwright passphrase --from-input`"
        raise InputError("passphrase", None, "is not set, and nobody can be asked for it", fix=fix)
    note("A passphrase for phones, written down where no guest reads it. One by chance:")
    note(f"  {suggested()}")
    while True:
        typed = str(typer.prompt("Passphrase", hide_input=True, err=True))
        try:
            check_strength(typed)
        except InputError as weak:
            note(str(weak))
            continue
        if typed == typer.prompt("The same again", hide_input=True, err=True):
            return typed
        note("The two differ. Once more.")


def _from_input() -> str:
    line = sys.stdin.readline(_LONGEST_LINE)
    if not line.strip():
        raise InputError("--from-input", None, "nothing was given on standard input")
    return line.rstrip("\r\n")
