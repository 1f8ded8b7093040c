"""``sugarwright new``: a few questions, and a commented sugarhouse.toml from the answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from sugarwright.cli.documents import Written
from sugarwright.cli.folder import HOUSE_FILE, JsonOption
from sugarwright.cli.output import as_json, heading, say, wrapped
from sugarwright.cli.program import program
from sugarwright.errors import HouseFileError, InputError
from sugarwright.plant.house_notes import warnings
from sugarwright.plant.questions import Question, is_asked, questions
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
    path = Path(folder) / HOUSE_FILE
    _check_free(Path(folder), path)
    given = {**(_from_file(answers) if answers is not None else {}), **_pairs(set_ or [], "--set")}
    if yes or json:
        _check_complete(given)
        text = house_toml(given)
    else:
        text = _ask(given)
    _write(path, text)
    house = parse_house(text, HOUSE_FILE)
    if json:
        say(as_json(Written(str(path), warnings(house))))
        return
    say("")
    heading(f"{path} is written.")
    for sentence in warnings(house):
        say(wrapped(sentence, "  ! "))
    say("Read it once: what was worked out from the size of your house is marked there. Then:")
    say(f"  {program()} check {_quoted(folder)}")
    say(f"  {program()} simulate {_quoted(folder)} --weather FILE")


def _check_free(folder: Path, path: Path) -> None:
    """Refuse what cannot become a new sugarhouse, before any question is asked."""
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("folder", str(folder), "is a file", fix="Choose another name")
        taken = path.exists() or path.is_symlink()
    except (OSError, ValueError) as problem:
        raise _unwritable(folder, problem) from None
    if taken:
        raise InputError(
            "folder",
            str(folder),
            f"has a {HOUSE_FILE} already, which is not overwritten",
            fix="Choose another folder, or edit the file that is there",
        )


def _unwritable(folder: Path, problem: Exception) -> InputError:
    reason = getattr(problem, "strerror", None) or str(problem)
    return InputError("folder", str(folder), f"cannot be written to: {reason}")


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
            q.path, None, "is needed", q.spec.allowed(), f'Say it with --set "{q.path}=..."'
        )
        for q in questions()
        if q.path not in known and is_asked(q, known)
    ]
    if missing:
        raise HouseProblemsError(missing)


def _ask(given: dict[str, str]) -> str:
    """Ask what is not given; return the file of all answers."""
    heading("Your sugarhouse, in some twenty questions")
    say("Write quantities as you say them: 400 gal, 1500 L, 2 cords. Enter takes what")
    say("stands in [brackets]. Ctrl-C stops, and nothing is written.")
    answers: dict[str, Any] = {}
    for question in questions():
        if question.path in given:
            answers[question.path] = question.read(given[question.path])
        elif is_asked(question, answers):
            answers[question.path] = _answer(question, answers)
    others = {path: text for path, text in given.items() if path not in answers}
    while True:
        try:
            return house_toml({**others, **answers})
        except InputError as error:
            wrong = _questions_of(error)
            if not wrong:
                raise
            say("", *str(error).splitlines())
            for question in wrong:
                answers[question.path] = _answer(question, answers)


def _questions_of(error: InputError) -> list[Question]:
    """Return the questions whose answers contradict each other, so that they can be asked again."""
    problems = error.problems if isinstance(error, HouseProblemsError) else (error,)
    fields = {problem.field for problem in problems}
    return [question for question in questions() if question.path in fields]


def _answer(question: Question, answers: dict[str, Any]) -> Any:
    """Ask until the answer can be used."""
    system = str(answers.get("site.units", "us"))
    default = None if question.default is None else question.spec.shown(question.default, system)
    say("", question.ask)
    if question.spec.help:
        say(wrapped(question.spec.help, "  "))
    while True:
        typed = _typed("> " if default is None else f"[{_said(default)}] > ")
        if not typed and default is not None:
            return default
        try:
            if not typed:
                raise InputError(
                    "answer", None, "this one is needed", question.spec.allowed(system)
                )
            return question.read(typed)
        except InputError as error:
            told = f"{error.problem}; allowed: {error.allowed}" if error.allowed else error.problem
            say(wrapped(f"{told}. {error.fix}".rstrip(), "  ? "))


def _typed(prompt: str) -> str:
    """Return a typed line; leave quietly, with nothing written, when the person does."""
    try:
        return input(prompt).strip()
    except EOFError:
        print(f"\nThe answers ended too early: no {HOUSE_FILE} was written.", file=sys.stderr)
        raise typer.Exit(2) from None
    except KeyboardInterrupt:
        print(f"\nStopped: no {HOUSE_FILE} was written.", file=sys.stderr)
        raise typer.Exit(130) from None
    except UnicodeDecodeError:
        return "\N{REPLACEMENT CHARACTER}"


def _said(raw: Any) -> str:
    """Return a default as a person would type it."""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    return ", ".join(map(str, raw)) if isinstance(raw, list) else str(raw)


def _write(path: Path, text: str) -> None:
    """Write the file in one step, so that no half of it is ever there."""
    draft = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            draft.write_text(text, encoding="utf-8", newline="\n")
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)
    except (OSError, ValueError) as problem:
        raise _unwritable(path.parent, problem) from None


def _quoted(folder: str) -> str:
    """Return a folder's name as it must be typed."""
    return f'"{folder}"' if " " in folder else folder
