"""A season's ledger: readings made to agree, what can't be right, and where the sugar went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.account import Account, PeriodFlows, account_of, by_period
from sugarwright.ledger.doubts import Doubt, find_doubts
from sugarwright.ledger.next_reading import NextReading, lacking, next_reading
from sugarwright.ledger.timeline import LeftOut, lay_out
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House

UNSURE = 0.25
"""An amount less sure than this part of it is only a guess."""


@dataclass(frozen=True)
class SeasonLedger:
    """Where the sugar went.

    Parameters
    ----------
    house : its name
    timezone, units : in which the house wants to read it
    begin_s, end_s : of the entries used, UTC s; None when there are none
    entries : how many were used
    readings : numbers read in them
    checks : by how many independent balances those numbers are tested
    doubts : what can't be right, each with what the other readings say and its likely slip
    account : flows, sugar account and ratio; None when nothing moved
    periods : flows from one round of readings to the next
    lacking : what the record lacks, in sentences
    guesses : amounts that are little more than guesses
    next_reading : the reading that would help most; None when none would
    left_out : entries that could not be used
    """

    house: str
    timezone: str
    units: str
    begin_s: float | None
    end_s: float | None
    entries: int
    readings: int
    checks: int
    doubts: tuple[Doubt, ...]
    account: Account | None
    periods: tuple[PeriodFlows, ...]
    lacking: tuple[str, ...]
    guesses: tuple[str, ...]
    next_reading: NextReading | None
    left_out: tuple[LeftOut, ...]


def season_ledger(
    house: House,
    entries: Sequence[Entry],
    begin_s: float | None = None,
    end_s: float | None = None,
) -> SeasonLedger:
    """Draw up the ledger of a span.

    Parameters
    ----------
    house : the described house
    entries : those that stand, in any order
    begin_s, end_s : the span, UTC s; None: from the first, to the last entry

    Raises
    ------
    InputError : more rounds of readings than can be balanced at once
    """
    timeline = lay_out(house, entries, begin_s, end_s)
    site = house.site
    lacks = tuple(lacking(house, timeline))
    if len(timeline.periods) < 2:
        return SeasonLedger(
            site.name, site.timezone, site.units, None, None, 0, 0, 0, (), None, (), lacks, (),
            None, timeline.left_out,
        )  # fmt: skip
    fit, doubts = find_doubts(house, timeline)
    account = account_of(fit)
    read = [i for i, each in enumerate(fit.statements) if each.kind == "reading"]
    used = {item.entry.key for each in fit.statements for item in each.items}
    return SeasonLedger(
        site.name,
        site.timezone,
        site.units,
        timeline.periods[0].begin_s,
        timeline.periods[-1].end_s,
        len(used),
        len(read),
        round(float(np.diagonal(fit.of_statement)[read].sum())),
        doubts,
        account,
        by_period(fit),
        lacks,
        tuple(each.name for each in account.flows if _unsure(each.volume_m3, each.volume_sd_m3)),
        next_reading(fit),
        timeline.left_out,
    )


def _unsure(volume_m3: float, volume_sd_m3: float) -> bool:
    return volume_sd_m3 > UNSURE * abs(volume_m3) and volume_sd_m3 > 0.005
