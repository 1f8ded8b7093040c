"""The house as learnt: the description, with what its own log taught put in its place.

The one place where what was learnt enters the plant. Whoever plans, simulates or looks ahead hands
in the house as described and the documents that were kept, and goes on with the house returned.
Learning itself always begins from the house as *described*: else a log would count twice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sugarwright.errors import InputError
from sugarwright.learning.instrument_keys import INSTRUMENTS
from sugarwright.learning.kept import Figure, kept_of
from sugarwright.plant.fields import keys_of
from sugarwright.plant.house import House
from sugarwright.plant.specs_numbers import Number, Quantity
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.units import parse

PLAUSIBLE_SDS = 3.0
"""How many standard deviations of what is known beforehand a figure may lie from the description
before the maker is asked whether that is really so."""


@dataclass(frozen=True)
class Prior:
    """How far houses stand from what their descriptions say.

    Parameters
    ----------
    sd : standard deviation, of the natural logarithm if ``of_log``, else in SI
    source : where it comes from
    of_log : whether the spread is that of the logarithm
    """

    sd: float
    source: str
    of_log: bool = True


LEARNABLE: dict[str, dict[str, Prior]] = {
    "pan": {
        "pan.boil_rate_m3_s": Prior(
            0.25, "judgement: published rates of one kind of pan scatter by a quarter to a third"
        ),
        "pan.light_up_s": Prior(0.35, "from memory: 20 to 40 min to full boil"),
        "pan.burn_down_s": Prior(0.35, "from memory: 30 to 60 min"),
    },
    "wood": {
        "fire.efficiency_fraction": Prior(0.2, "from memory: 25 to 60 % about 40 %"),
        "fire.light_up_wood_m3": Prior(0.4, "judgement: 0.01 to 0.03 cord about 0.02"),
    },
    "membrane": {
        "membrane.condition_fraction": Prior(
            0.3, "from memory: elements of one name differ by 15 %, their classes by a factor 1.4"
        ),
        "membrane.loss_per_hour_fraction": Prior(
            math.log(2.5), "judgement: no measured decline with maple sap was found"
        ),
        "membrane.rinse_recovery_fraction": Prior(0.2, "judgement", of_log=False),
        "membrane.wash_recovery_fraction": Prior(
            0.07, "judgement: one wash nearly restores, as seen with dairy fluids", of_log=False
        ),
    },
    INSTRUMENTS: {},  # no part of the house: see ``learning.corrected``
}
"""What may be learnt, by the name under which it is kept."""


@dataclass(frozen=True)
class Standing:
    """One figure on which the house as learnt stands, or would.

    Parameters
    ----------
    name : under which it is kept
    figure : what was learnt
    learnt_s : UTC s of the fit
    stands : false where the description was changed since, and stands instead
    readings : how many taught what is kept under the name
    """

    name: str
    figure: Figure
    learnt_s: int
    stands: bool
    readings: int


@dataclass(frozen=True)
class AsLearnt:
    """The house as learnt.

    Parameters
    ----------
    house : to plan and simulate with
    standing : what it stands on, in the order of ``LEARNABLE``
    """

    house: House
    standing: tuple[Standing, ...]


def with_trees(house: House, trees: TreeKnowledge) -> House:
    """Return the house with the yield and the Brix that its gatherings taught.

    For one run with the expected trees; what plans in many weathers draws trees of its own from
    what is known (``plant.tree_knowledge.tree_members``).
    """
    house = with_value(house, "trees.yield_factor", trees.yield_factor)
    return with_value(house, "trees.sap_brix", trees.sap_brix)


def as_learnt(house: House, documents: Mapping[str, Mapping[str, Any] | None]) -> AsLearnt:
    """Put what was learnt into a house.

    Parameters
    ----------
    house : as described
    documents : newest kept document by name (see ``LEARNABLE``); None or left out: nothing learnt

    Returns
    -------
    AsLearnt; with nothing kept, the house itself

    Raises
    ------
    InputError : a document is damaged, or says what no house can be
    """
    standing = []
    for name, priors in LEARNABLE.items():
        document = documents.get(name)
        if document is None:
            continue
        kept = kept_of(name, document)
        if not priors:  # it puts readings right, and changes nothing of the house
            standing += [
                Standing(name, each, kept.learnt_s, True, kept.readings) for each in kept.figures
            ]
            continue
        for figure in kept.figures:
            described = described_value(house, figure.key)
            if figure.key not in priors or described is None:
                continue  # of a membrane that is gone, or of a newer program
            stands = math.isclose(described, figure.described, rel_tol=1e-6, abs_tol=1e-12)
            standing.append(Standing(name, figure, kept.learnt_s, stands, kept.readings))
            if stands:
                house = with_value(house, figure.key, figure.value)
    return AsLearnt(house, tuple(standing))


def described_value(house: House, key: str) -> float | None:
    """Return a number of the house by its path; None where the house has no such part."""
    value: Any = house
    for attribute in key.split("."):
        value = getattr(value, attribute, None)
    return None if value is None else float(value)


def with_value(house: House, key: str, value: float) -> House:
    """Return the house with one number changed.

    Raises
    ------
    InputError : the house has no such part, or the number is none that the description could hold
    """
    section, attribute = key.split(".")
    part = getattr(house, section, None)
    if part is None or not hasattr(part, attribute):
        raise InputError(key, value, "is no part of this house")
    least, greatest = limits(house, key)
    if not least <= value <= greatest:
        fix = f"Take it back with `sugarwright learn --undo`, or change {key} in sugarhouse.toml"
        problem = "was learnt, but is outside what is possible"
        raise InputError(key, value, problem, f"{least:g} to {greatest:g}", fix)
    return replace(house, **{section: replace(part, **{attribute: value})})


def limits(house: House, key: str) -> tuple[float, float]:
    """Return least and greatest that the description may hold for a number of the house."""
    section, attribute = key.split(".")
    specs = {each.attribute: each.spec for each in keys_of(type(getattr(house, section)))}
    spec = specs[attribute]
    if isinstance(spec, Quantity):
        return parse(spec.least, spec.kind), parse(spec.greatest, spec.kind)
    if isinstance(spec, Number):
        return spec.least, spec.greatest
    raise InputError(key, None, "is no number of the house")


def implausible(house: House, name: str, figure: Figure) -> str:
    """Return why a figure should not be kept without being asked about, or nothing.

    Parameters
    ----------
    house : as described
    name : under which it would be kept
    figure : as learnt
    """
    least, greatest = limits(house, figure.key)
    if not least <= figure.value <= greatest:
        return "is outside what a description may hold"
    prior = LEARNABLE[name][figure.key]
    apart = figure.value - figure.described
    if prior.of_log:
        apart = math.log(max(figure.value, 1e-300) / max(figure.described, 1e-300))
    if abs(apart) > PLAUSIBLE_SDS * prior.sd:
        return "is farther from the description than houses usually are"
    return ""
