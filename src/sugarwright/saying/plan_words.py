"""The words of a plan: those of its house, and what its tanks are called."""

from __future__ import annotations

from sugarwright.logbook.catalogue import GATHERING
from sugarwright.planning.report import PlanReport
from sugarwright.saying.words import Words

TANKS = {"sap": "the sap tank", "stock": "the stock tank", "permeate": "the permeate tank"}


def tank_text(tank: str) -> str:
    """Return what a tank is called beside its action: one of gathering is that of its point."""
    return "its tank" if tank.startswith(GATHERING) else TANKS[tank]


class PlanWords(Words):
    """Says times and quantities as the house of a plan reads them.

    Parameters
    ----------
    report : the plan
    """

    def __init__(self, report: PlanReport) -> None:
        super().__init__(report.timezone, report.units, report.currency)
        self.report = report
