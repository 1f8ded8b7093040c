"""``sugarwright new``: a few questions, and a commented sugarhouse.toml from the answers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from sugarwright.answering.beginning import name_of, see_that_free, write_description
from sugarwright.cli.documents import Written
from sugarwright.cli.folder import HOUSE_FILE, JsonOption, folder_of
from sugarwright.cli.interview import ask
from sugarwright.cli.output import as_json, heading, say, wrapped
from sugarwright.cli.program import program
from sugarwright.errors import HouseFileError, InputError
from sugarwright.plant.house_notes import warnings
from sugarwright.plant.questions import is_asked, questions
from sugarwright.plant.read_house import HouseProblemsError, parse_house
from sugarwright.plant.write_house import house_toml

MOST_ANSWERS_BYTES = 100_000


def new(
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Where to put it; made if it is not there.")
    ],
    set_: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="KEY=ANSWER",
            help='An answer in advance, as in --set "tank.sap.volume=400 gal". May be repeated; '
            "docs/sugarhouse.md lists the keys.",
        ),
    ] = None,
    answers: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Answers from a file: lines of KEY = ANSWER; # begins a comment."
        ),
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Ask nothing: take the default where there is one.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """How do I start? Asks about your sugarhouse and writes it down.

    Writes FOLDER/sugarhouse.toml, with a comment on every line that can be said. Refuses to
    overwrite one. Until all questions are answered nothing is written.

    Examples:
      sugarwright new my-sugarhouse
      sugarwright new my-sugarhouse --answers answers.txt --yes
    """
    folder = folder_of(folder)
    path = Path(folder) / HOUSE_FILE
    see_that_free(folder)
    given = {**(_from_file(answers) if answers is not None else {}), **_pairs(set_ or [], "--set")}
    if yes or json:
        given.setdefault("site.name", name_of(folder))
        _check_complete(given)
        text = house_toml(given)
    else:
        text = ask(given, {"site.name": name_of(folder)})
    write_description(folder, text)
    house = parse_house(text, HOUSE_FILE)
    if json:
        say(as_json(Written(str(path), warnings(house))))
        return
    say("")
    heading(f"{path} is written.")
    for sentence in warnings(house):
        say(wrapped(sentence, "  ! "))
    say("Read it once: what was worked out from the size of your house is marked there.")
    say("Then:")
    say(f"  {program()} check {_quoted(folder)}")
    say(f"  {program()} season {_quoted(folder)}")
    say(f"  {program()} weather import --low 24F --high 45F {_quoted(folder)}")
    say(f"  {program()} plan {_quoted(folder)}")


def _from_file(name: str) -> dict[str, str]:
    """Read lines of KEY = ANSWER."""
    try:
        with Path(name).open("rb") as file:
            data = file.read(MOST_ANSWERS_BYTES + 1)
        text = data.decode("utf-8-sig")
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "it is not UTF-8 text"
        raise InputError("--answers", name, f"cannot be read: {reason}") from None
    if len(data) > MOST_ANSWERS_BYTES:
        raise InputError("--answers", name, "is too long", f"{MOST_ANSWERS_BYTES:,} bytes")
    lines = [line.strip() for line in text.splitlines()]
    return _pairs([line for line in lines if line and not line.startswith("#")], "--answers")


def _pairs(words: list[str], option: str) -> dict[str, str]:
    """Return KEY=ANSWER words as a table."""
    pairs = {}
    for word in words:
        key, equals, answer = word.partition("=")
        if not equals:
            fix = 'Write it like "tank.sap.volume=400 gal"'
            raise InputError(option, word, 'has no "=" in it', "KEY=ANSWER", fix)
        pairs[key.strip()] = answer.strip()
    return pairs


def _check_complete(given: dict[str, str]) -> None:
    """Name every answer that has no default and is missing, not only the first."""
    known: dict[str, Any] = {q.path: q.default for q in questions() if q.default is not None}
    for question in questions():
        if question.path in given:
            known[question.path] = question.read(given[question.path])
    missing = [
        HouseFileError(
            q.path, None, "is needed", q.spec.said(), f'Say it with --set "{q.path}=..."'
        )
        for q in questions()
        if q.path not in known and is_asked(q, known)
    ]
    if missing:
        raise HouseProblemsError(missing)


def _quoted(folder: str) -> str:
    """Return a folder's name as it must be typed."""
    return f'"{folder}"' if " " in folder else folder
