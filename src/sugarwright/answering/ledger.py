"""Where the sugar went, by a folder's log: what ``sugarwright ledger`` asks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.answering.folder import house_in
from sugarwright.answering.readings import readings
from sugarwright.answering.record import record_of

if TYPE_CHECKING:
    from sugarwright.ledger.season_ledger import SeasonLedger


def ledger_in(folder: str, _now_s: float) -> SeasonLedger:
    """Balance all of the log; the house is taken as described, and what can't be right is told.

    Parameters
    ----------
    folder : of the sugarhouse
    """
    from sugarwright.ledger.season_ledger import season_ledger

    with record_of(folder, make=False) as book:
        return season_ledger(house_in(folder), readings(book), None, None)
