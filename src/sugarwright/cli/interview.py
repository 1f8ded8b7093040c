"""The questions of ``sugarwright new``, asked one by one at the terminal."""

from __future__ import annotations

import sys
from typing import Any, Final

import typer

from sugarwright.cli.folder import HOUSE_FILE
from sugarwright.cli.output import heading, say, wrapped
from sugarwright.errors import InputError
from sugarwright.plant.questions import Question, as_typed, is_asked, questions
from sugarwright.plant.read_house import HouseProblemsError
from sugarwright.plant.write_house import house_toml

BACK: Final = object()
"""The answer of somebody who wants the question before."""


def ask(given: dict[str, str], offered: dict[str, Any]) -> str:
    """Ask what is not given; return the file of all answers.

    Parameters
    ----------
    given : key path -> answer in advance
    offered : key path -> raw answer to take on Enter, where the house has no default
    """
    heading("Your sugarhouse, in some twenty questions")
    say("Write quantities as you say them: 400 gal, 1500 L, 2 cords. Enter takes what")
    say('stands in [brackets]; "back" returns to the question before. Ctrl-C stops, and')
    say("nothing is written.")
    asked = {question.path: question for question in questions()}
    answers = {path: asked[path].read(text) for path, text in given.items() if path in asked}
    others = {path: text for path, text in given.items() if path not in asked}
    while True:
        _fill_in(answers, offered)
        try:
            return house_toml({**others, **answers})
        except InputError as error:
            wrong = _questions_of(error)
            if not wrong:
                raise
            say("")
            for each in _problems(error):
                say(wrapped(f"{each.field} {each.problem}. {each.fix}", rest="  "))
            for question in wrong:  # whose answers contradict each other: they are asked again
                answers.pop(question.path, None)


def _fill_in(answers: dict[str, Any], offered: dict[str, Any]) -> None:
    """Ask every question that these answers leave open."""
    done: list[str] = []
    while True:
        question = next((q for q in questions() if _is_open(q, answers)), None)
        if question is None:
            return
        answer = _answer(question, answers, offered.get(question.path, question.default))
        if answer is not BACK:
            answers[question.path] = answer
            done.append(question.path)
        elif done:
            offered[done[-1]] = answers.pop(done[-1])
            done.pop()
        else:
            say("  ? there is no question before this one.")


def _is_open(question: Question, answers: dict[str, Any]) -> bool:
    return question.path not in answers and is_asked(question, answers)


def _questions_of(error: InputError) -> list[Question]:
    """Return the questions whose answers contradict each other."""
    fields = {problem.field for problem in _problems(error)}
    return [question for question in questions() if question.path in fields]


def _problems(error: InputError) -> tuple[InputError, ...]:
    return tuple(error.problems) if isinstance(error, HouseProblemsError) else (error,)


def _answer(question: Question, answers: dict[str, Any], offer: Any) -> Any:
    """Ask until the answer can be used, or is BACK."""
    system = str(answers.get("site.units", "us"))
    default = None if offer is None else question.spec.shown(offer, system)
    say("", *wrapped(question.ask).splitlines())
    if question.spec.help:
        say(wrapped(question.spec.help, "  "))
    while True:
        typed = _typed("> " if default is None else f"[{as_typed(default)}] > ")
        if typed.lower() == "back":
            return BACK
        if not typed and default is not None:
            return default
        try:
            if not typed:
                allowed = question.spec.said(system)
                raise InputError("answer", None, "this one is needed", allowed)
            return question.read(typed, system)
        except InputError as error:
            reason = (
                f"{error.problem}; allowed: {error.allowed}" if error.allowed else error.problem
            )
            say(wrapped(f"{reason}. {error.fix}".rstrip(), "  ? "))


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
