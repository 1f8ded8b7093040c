"""How much sap makes how much syrup: the balance of sugar, beside the rules of thumb."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.bench.uncertainty import first_order
from sugarwright.errors import RangeError
from sugarwright.physics.solution import mass_kg, sap_to_syrup_ratio

SAP_SD_BRIX = 0.1
"""A sap hydrometer or refractometer, read with care; a judgement."""

RULES = (
    (86.0, None, "rule of 86 (1946)"),
    (87.1, 66.0, "revised rule for 66.0 Brix (Perkins & Isselhardt, as quoted)"),
    (88.2, 66.9, "revised rule for 66.9 Brix (Perkins & Isselhardt, as quoted)"),
)
"""Constant of constant/Brix, the syrup it is meant for, and its name."""


@dataclass(frozen=True)
class Rule:
    """A rule of thumb beside the balance.

    Parameters
    ----------
    name : which rule, with its source
    sap_by_syrup_ratio : what it gives: volume of sap by volume of syrup
    off_fraction : how far that is from the balance; 0.01 is one percent too much sap
    """

    name: str
    sap_by_syrup_ratio: float
    off_fraction: float


@dataclass(frozen=True)
class SapToSyrup:
    """How much sap makes how much syrup, no sugar lost.

    Parameters
    ----------
    sap_brix, syrup_brix : strengths [mass percent]
    sap_by_syrup_ratio, ratio_sd : volume of sap by volume of syrup, with its standard deviation
    sap_m3, syrup_m3 : volumes at 20 °C [m³]
    syrup_sd_m3 : standard deviation of the syrup [m³]
    water_off_kg : water to take out, by membrane and pan [kg]
    rules : the rules of thumb that are meant for this syrup
    """

    sap_brix: float
    syrup_brix: float
    sap_by_syrup_ratio: float
    ratio_sd: float
    sap_m3: float
    syrup_m3: float
    syrup_sd_m3: float
    water_off_kg: float
    rules: tuple[Rule, ...]


def sap_to_syrup(
    sap_m3: float, sap_brix: float, syrup_brix: float, sd_brix: float = SAP_SD_BRIX
) -> SapToSyrup:
    """Return the syrup in some sap.

    Parameters
    ----------
    sap_m3 : volume of the sap [m³]
    sap_brix : its strength [mass percent]
    syrup_brix : strength of the syrup [mass percent]
    sd_brix : standard deviation of the sap's strength [Brix]

    Raises
    ------
    RangeError : a value outside its range, or sap stronger than the syrup

    >>> round(sap_to_syrup(1.0, 2.0, 66.0).sap_by_syrup_ratio, 2)
    43.39
    """
    if sap_brix >= syrup_brix:
        raise RangeError(
            "sap", f"{sap_brix:g} Brix", "is no thinner than the syrup", f"below {syrup_brix:g}"
        )
    ratio = first_order(lambda brix: sap_to_syrup_ratio(brix, syrup_brix), (sap_brix,), (sd_brix,))
    syrup_m3 = sap_m3 / ratio.value
    water = mass_kg(sap_m3, sap_brix, 20.0) - mass_kg(syrup_m3, syrup_brix, 20.0)
    rules = tuple(
        Rule(name, constant / sap_brix, constant / sap_brix / ratio.value - 1.0)
        for constant, meant_for, name in RULES
        if meant_for is None or abs(meant_for - syrup_brix) <= 0.25
    )
    return SapToSyrup(
        sap_brix,
        syrup_brix,
        ratio.value,
        ratio.sd,
        sap_m3,
        syrup_m3,
        syrup_m3 * ratio.sd / ratio.value,
        water,
        rules,
    )
