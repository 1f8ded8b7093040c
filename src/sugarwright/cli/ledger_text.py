"""The ledger in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from sugarwright.cli.ledger_doubt_text import doubt_lines
from sugarwright.cli.output import columns, wrapped
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
from sugarwright.saying.ledger_totals import claim_of_totals

if TYPE_CHECKING:
    from sugarwright.ledger.account import Account
    from sugarwright.ledger.season_ledger import SeasonLedger
    from sugarwright.logbook.entry import Entry
    from sugarwright.plant.house import House


def ledger_lines(found: SeasonLedger, house: House, entries: Mapping[str, Entry]) -> Iterator[str]:
    """Yield the ledger: doubts first, then what flowed and where the sugar went."""
    if found.account is None:
        yield "There is too little in the logbook to balance anything yet."
        if claim := claim_of_totals(entries.values(), found.units):
            yield wrapped(f"What came in and what was made can be held against each other: {claim}")
        yield from (wrapped(text) for text in advice_texts(found))
        yield from _left_out(found)
        return
    yield f"{found.house}: {span_text(found)}"
    yield wrapped(tested_text(found))
    yield ""
    if found.doubts:
        yield from doubt_lines(found.doubts, house, entries)
        yield wrapped("What follows is reckoned without what is doubted.")
    else:
        yield wrapped(nothing_wrong_text(found))
    yield ""
    yield "What flowed (with 95 chances in 100 within)"
    yield from (f"  {line}" for line in columns(flow_rows(found.account, found.units)))
    yield ""
    yield from _sugar(found.account, found.units)
    yield ""
    yield wrapped(ratio_text(found.account.ratio))
    yield from (wrapped(text) for text in advice_texts(found))
    yield from _left_out(found)


def _sugar(account: Account, units: str) -> Iterator[str]:
    yield "Where the sugar came from, and where it went"
    rows = [*sugar_rows(account.came, units, "all that came"), ("", "", "")]
    rows += sugar_rows(account.went, units, "all that went")
    yield from (f"  {line}".rstrip() for line in columns(rows))


def _left_out(found: SeasonLedger) -> Iterator[str]:
    if found.left_out:
        yield f"Not used: {len(found.left_out)} readings."
        for number, each in enumerate(found.left_out[:5]):
            yield wrapped(left_out_text(found, number), f"  {each.key[:6]}  ")
        if len(found.left_out) > 5:
            yield "  ... all are in --json."
