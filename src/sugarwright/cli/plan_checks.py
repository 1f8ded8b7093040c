"""What of a plan's options is refused before anything is searched."""

from __future__ import annotations

from pathlib import Path

from sugarwright.errors import InputError

DAYS = ("today", "tomorrow")


def check(
    supposed: list[str],
    missed: str | None,
    day: str,
    explain: str | None,
    calendar: str | None,
    *,
    as_message: bool,
    as_document: bool,
) -> None:
    """Refuse before the search what it would only refuse after it.

    Raises
    ------
    InputError : an option cannot be, or two of them ask for different things
    """
    if calendar is not None and Path(calendar).suffix.lower() != ".ics":
        raise InputError("--calendar", calendar, "is no calendar file", "a name that ends in .ics")
    if as_message and as_document:
        raise InputError("--text", None, "does not go with --json", fix="Ask for one at a time")
    if day not in DAYS:
        raise InputError("--for", day, "is no day that is planned for", " or ".join(DAYS))
    if explain is not None:
        from sugarwright.planning.explain import check_question

        check_question(explain)
    asked = [
        name
        for name, given in (
            ("--if", bool(supposed)), ("--missed", missed is not None),
            ("--for tomorrow", day == "tomorrow"), ("--explain", explain is not None),
        )
        if given
    ]  # fmt: skip
    alone = [name for name in asked if name in ("--if", "--missed")]
    others = asked + ["--text"] * as_message + ["--calendar"] * (calendar is not None)
    if alone and len(others) > 1:
        other = next(name for name in others if name != alone[0])
        raise InputError(alone[0], None, f"does not go with {other}", fix="Ask for one at a time")
