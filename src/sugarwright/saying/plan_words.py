"""The words of a plan: those of its house, and what its tanks are called."""

from __future__ import annotations

from sugarwright.planning.report import PlanReport
from sugarwright.saying.words import Words

TANKS = {"sap": "the sap tank", "stock": "the stock tank", "permeate": "the permeate tank"}


class PlanWords(Words):
    """Says times and quantities as the house of a plan reads them.

    Parameters
    ----------
    report : the plan
    """

    def __init__(self, report: PlanReport) -> None:
        super().__init__(report.timezone, report.units, report.currency)
        self.report = report
