"""What a season came to, and how it is worked to find that out."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from time import process_time

import numpy as np

from sugarwright.planning.outlook import syrup_m3
from sugarwright.plant import layout as at
from sugarwright.plant.assemble import Plant, assemble
from sugarwright.plant.worth import worth_lines

from .houses import Case
from .rolling import Again, Decide, work
from .seasons import Season
from .truth import Truth, make_truth


@dataclass(frozen=True)
class Outcome:
    """What a season came to, in the house's money and SI.

    Parameters
    ----------
    net_money, lines_money : worth, and its lines
    dry_pans : days on which a hot pan found no feed
    alone_s : time for which a fire had nobody with it
    processor_s : time that it took to work out
    days : for each day and each look of it, the rows of that day and the next as carried out: to
        read afterwards
    """

    net_money: float
    lines_money: dict[str, float] = field(default_factory=dict)
    syrup_m3: float = 0.0
    spilled_kg: float = 0.0
    spoiled_kg: float = 0.0
    fire_s: float = 0.0
    hands_s: float = 0.0
    light_ups: float = 0.0
    membrane_starts: float = 0.0
    washes: float = 0.0
    dry_pans: float = 0.0
    alone_s: float = 0.0
    processor_s: float = 0.0
    days: list[list[list[list[float]]]] = field(default_factory=list)


def ready(case: Case, season: Season) -> tuple[Plant, Truth]:
    """Return the house of a season and what happens in it."""
    plant = assemble(case.tapped(season.tapped))
    return plant, make_truth(plant, season)


def outcome(plant: Plant, truth: Truth, decide: Decide, again: Again | None = None) -> Outcome:
    """Work through the season."""
    began_s = process_time()
    worked = work(plant, truth, decide, again)
    y = worked.totals[-1]
    worth = worth_lines(plant, y, worked.states[-1])
    short_s = worked.totals[:, at.SHORT_S]
    return Outcome(
        net_money=float(worth.net),
        lines_money={each.name: float(getattr(worth, each.name)) for each in fields(worth)},
        syrup_m3=float(syrup_m3(plant, y)),
        spilled_kg=float(y[at.SPILLED_WATER_KG] + y[at.SPILLED_SUGAR_KG]),
        spoiled_kg=float(y[at.DUMPED_WATER_KG] + y[at.DUMPED_SUGAR_KG]),
        fire_s=float(y[at.FIRE_S]),
        hands_s=float(y[at.HANDS_S]),
        light_ups=float(y[at.LIGHT_UPS]),
        membrane_starts=float(y[at.MEMBRANE_STARTS]),
        washes=float(y[at.WASHES]),
        dry_pans=float((short_s[1:] > short_s[:-1]).sum()),
        alone_s=float(y[at.LIT_ALONE_S]),
        processor_s=process_time() - began_s,
        days=np.round(worked.rows, 9).tolist(),
    )
