"""``/ledger``: what can't be right, with one tap to correct it; where the sugar went; a claim."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from sugarwright.answering.ledger import ledger_in
from sugarwright.errors import SugarwrightError
from sugarwright.ledger.claim import judge_claim, read_claim
from sugarwright.ledger.doubts import Doubt, Suspect
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House
from sugarwright.saying.ledger import (
    advice_texts,
    flow_rows,
    left_out_text,
    nothing_wrong_text,
    ratio_text,
    span_text,
    sugar_rows,
    tested_text,
)
from sugarwright.saying.ledger_claim import claim_texts
from sugarwright.saying.ledger_doubts import (
    Correction,
    check_text,
    correction_of,
    slip_text,
    suspect_text,
)
from sugarwright.web.pages.entering import Key, entering
from sugarwright.web.rendering import page, shed_of

USUAL_SYRUP_BRIX = 66.0
SUSPECTS_SHOWN = 4
router = APIRouter()


@dataclass(frozen=True)
class Suspected:
    """One of the things that may be wrong.

    Parameters
    ----------
    told : what does not fit, and what all others say
    slip : what was probably done instead; empty where that is not known
    correction : how it is set right; None where only a person knows
    """

    told: str
    slip: str
    correction: Correction | None


@dataclass(frozen=True)
class Doubted:
    """Something that can't be right.

    Parameters
    ----------
    suspects : that can't be told apart
    more : how many of them are not shown
    check : what to look at first
    changed : an entry of it was corrected since
    """

    suspects: tuple[Suspected, ...]
    more: int
    check: str
    changed: bool


@router.get("/ledger", include_in_schema=False)
def ledger(
    request: Request,
    claim: Annotated[str, Query(max_length=300)] = "",
    kept: Key = "",
    undone: Key = "",
) -> Response:
    """Show the ledger; ``claim`` is what somebody says of sap and syrup."""
    shed = shed_of(request)
    house = shed.house()
    found = shed.worked_out(ledger_in)
    ledger = found.value
    with shed.record() as book:
        forms = entering(shed, book, (), "/ledger", kept, undone)
        doubts = () if ledger is None else tuple(_doubted(e, house, book) for e in ledger.doubts)
    judged, problem = _judged(claim, house.site.units)
    account = None if ledger is None else ledger.account
    units = house.site.units
    return page(
        request, "ledger.html", 422 if problem else 200,
        found=found, ledger=ledger, account=account, doubts=doubts, entering=forms,
        claim=claim, judged=judged, problem=problem,
        span="" if ledger is None or account is None else span_text(ledger),
        tested="" if ledger is None else tested_text(ledger),
        nothing_wrong="" if ledger is None else nothing_wrong_text(ledger),
        flows=() if account is None else flow_rows(account, units),
        came=() if account is None else tuple(sugar_rows(account.came, units, "all that came")),
        went=() if account is None else tuple(sugar_rows(account.went, units, "all that went")),
        ratio="" if account is None else ratio_text(account.ratio),
        advice=() if ledger is None else tuple(advice_texts(ledger)),
        left_out=() if ledger is None else [
            left_out_text(ledger, number) for number in range(len(ledger.left_out))
        ],
    )  # fmt: skip


def _judged(claim: str, units: str) -> tuple[tuple[str, ...], str]:
    """Return what is to be said of a claim, and what is wrong with its words."""
    if not claim.strip():
        return (), ""
    try:
        return tuple(claim_texts(judge_claim(read_claim(claim, USUAL_SYRUP_BRIX)), units)), ""
    except SugarwrightError as error:
        return (), str(error)


def _doubted(doubt: Doubt, house: House, book: Logbook) -> Doubted:
    keys = {key for each in doubt.suspects for key in (*each.keys, each.slip_key) if key}
    histories = {key: book.history(key) for key in keys}
    entries = {key: _of(key, history) for key, history in histories.items() if history}
    changed = any(history and history[-1].key != key for key, history in histories.items())
    shown = doubt.suspects[:SUSPECTS_SHOWN]
    return Doubted(
        tuple(_suspected(each, house, entries) for each in shown),
        len(doubt.suspects) - len(shown),
        check_text(doubt.suspects[0], entries),
        changed,
    )


def _of(key: str, history: tuple[Entry, ...]) -> Entry:
    return next(each for each in history if each.key == key)


def _suspected(suspect: Suspect, house: House, entries: dict[str, Entry]) -> Suspected:
    known = suspect.slip is not None and suspect.slip_key in entries
    slip = slip_text(suspect.slip, suspect, house.site.units) if known and suspect.slip else ""
    told = suspect_text(suspect, house, entries)
    return Suspected(told, slip, correction_of(suspect, house, entries))
