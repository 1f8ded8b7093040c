"""Questions about a plan: what if something were otherwise, and what now that one was missed."""

from __future__ import annotations

import sys
from dataclasses import replace

from sugarwright.answering.plan import Basis, usual_search
from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.simulate import tell_if_building
from sugarwright.errors import InputError


def print_what_if(basis: Basis, texts: list[str], *, as_document: bool) -> None:
    """Plan as things are and as they are supposed to be; print both side by side.

    Raises
    ------
    InputError : a supposition is not understood, or cannot be
    """
    from sugarwright.planning.if_today import Today
    from sugarwright.planning.if_words import read_if

    known = basis.known
    today = Today(basis.house, known.begin_s, known.begin_s + known.hours * 3600)
    supposed = tuple((text, read_if(text, today)) for text in texts)

    from sugarwright.cli.plan_what_if_text import what_if_lines
    from sugarwright.planning.what_if import what_if

    _tell(len(supposed) + 1)
    found = what_if(
        basis.grounds(), supposed, known.hours, basis.seed, usual_search(),
        basis.before(), basis.card,
    )  # fmt: skip
    ifs = tuple(replace(each, report=basis.noted(each.report)) for each in found.ifs)
    found = replace(found, today=basis.noted(found.today), ifs=ifs)
    say(*([as_json(found)] if as_document else what_if_lines(found)))


def print_missed(basis: Basis, text: str, *, keep: bool, as_document: bool) -> None:
    """Say what it costs that an action of the kept plan was missed, and plan from now on.

    Raises
    ------
    InputError : no plan is kept, or it has no such action that is due
    """
    from sugarwright.planning.plan_store import plans_kept

    house, known, book = basis.house, basis.known, basis.book
    plans = [] if book is None else list(plans_kept(book.plans, house, known.begin_s))
    if not plans or book is None:
        raise InputError(
            "--missed", text, "no plan of the last two days is kept for this house",
            fix="Plan without it: what you tell of the tanks says the rest",
        )  # fmt: skip

    from sugarwright.cli.plan_missed_text import missed_lines
    from sugarwright.cli.plan_print import keep_as_issued
    from sugarwright.planning.missed import find_in_plans, plan_after

    kept, action = find_in_plans(plans, text, known.begin_s, house.site.timezone)
    _tell(1)
    missed, planned = plan_after(
        basis.grounds(), kept, action, known.hours, basis.seed, usual_search(),
        basis.card,
    )  # fmt: skip
    missed = replace(missed, plan=basis.noted(missed.plan))
    if keep:
        keep_as_issued(book, house, missed.plan, planned.state)
    say(*([as_json(missed)] if as_document else missed_lines(missed)))


def _tell(plans: int) -> None:
    """Say to whoever waits at a terminal that so many plans are being made."""
    tell_if_building()
    if sys.stderr.isatty():
        from sugarwright.saying.plan_found import search_text

        note(search_text(plans))
