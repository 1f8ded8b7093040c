"""All that was asked of the membrane today, as one value."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.bench.clean_water import CleanWaterTest
from sugarwright.bench.membrane_advice import Answer
from sugarwright.bench.membrane_machine import Sap, Setting


@dataclass(frozen=True)
class MembraneReport:
    """The membrane with today's sap: what each setting gives, and what to set for a wish.

    Parameters
    ----------
    house : name of the sugarhouse
    units : in which it wants to read: "us" or "metric"
    sap : what goes in
    exit_pressure_pa : gauge pressure at the valve that was wanted [Pa]
    condition_fraction : permeability now against new, at the same temperature
    clean_water : what a clean-water test says; null without one
    settings : over the range of the valve, or the one that was asked for
    answers : to wishes, in the order brix, pan, done
    cautions : before you touch it
    """

    house: str
    units: str
    sap: Sap
    exit_pressure_pa: float
    condition_fraction: float
    clean_water: CleanWaterTest | None
    settings: tuple[Setting, ...]
    answers: tuple[Answer, ...]
    cautions: tuple[str, ...]
