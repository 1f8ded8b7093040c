"""Readings that a maker could take next, each with the figure that it teaches."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sugarwright.learning.as_learnt import LEARNABLE
from sugarwright.learning.kept import kept_of
from sugarwright.learning.next_reading import Candidate
from sugarwright.learning.noise import ONE_VARIANCE
from sugarwright.learning.pan import RATE, PanLesson
from sugarwright.learning.sweetness import INSTRUMENT_SD
from sugarwright.learning.wood import EFFICIENCY, WoodLesson
from sugarwright.plant.house import House
from sugarwright.plant.tree_knowledge import TreeKnowledge
from sugarwright.weather.ensemble import BRIX_SD

WEIGHED_HOUR_SD_LOG = 0.05  # of one hour's boil-off by two readings of a usual tank: judgement
FIRE_WOOD_SD_LOG = 0.15  # of one fire's wood: the stack by eye, and the day


def candidates_of(
    house: House,
    pan: PanLesson,
    wood: WoodLesson,
    trees: TreeKnowledge,
    documents: Mapping[str, Mapping[str, Any]],
) -> list[Candidate]:
    """Return the readings that are always at hand, and how unsure their figures are.

    Parameters
    ----------
    house : as learnt
    pan, wood : what was learnt of them now
    trees : what is known of them
    documents : what was learnt of the rest, by name
    """
    rate = None if pan.kept is None else pan.kept.figure(RATE)
    rate_sd = pan.described_sd_log if rate is None else rate.sd
    burnt = None if wood.kept is None else wood.kept.figure(EFFICIENCY)
    burnt_sd = LEARNABLE["wood"][EFFICIENCY].sd if burnt is None else burnt.sd
    tank = "stock tank" if house.stock_tank is not None else "sap tank"
    brix_scatter = math.hypot(BRIX_SD, INSTRUMENT_SD) / trees.sap_brix
    found = [
        Candidate(
            RATE,
            f"one hour's boil-off: read the {tank} twice, an hour apart, at full boil, with "
            "nothing else running in or out",
            rate_sd,
            math.hypot(WEIGHED_HOUR_SD_LOG, pan.day_sd_log),
        ),
        Candidate(
            EFFICIENCY,
            "the wood of one whole fire: stack it beforehand and measure the stack",
            burnt_sd,
            FIRE_WOOD_SD_LOG,
        ),
        Candidate(
            "trees.yield_factor",
            "one gathering from a new run, everything emptied, with its hour",
            trees.yield_sd_log,
            math.sqrt(ONE_VARIANCE),
        ),
        Candidate(
            "trees.sap_brix",
            "the Brix of the next gathering's sap",
            trees.sap_brix_sd / trees.sap_brix,
            brix_scatter,
        ),
    ]
    return found + _membrane_candidates(house, documents)


MEMBRANE_READINGS = {
    "membrane.permeability_m_s_pa": (
        "the membrane's permeate flow with clean water, at a known pressure and temperature, after "
        "a wash",
        0.05,
    ),
    "membrane.condition_fraction": (
        "the membrane's permeate flow with pressure, temperature and both strengths",
        0.05,
    ),
}


def _membrane_candidates(
    house: House, documents: Mapping[str, Mapping[str, Any]]
) -> list[Candidate]:
    if house.membrane is None:
        return []
    document = documents.get("membrane")
    kept = None if document is None else kept_of("membrane", document)
    found = []
    for key, (what, reading_sd_log) in MEMBRANE_READINGS.items():
        prior = LEARNABLE["membrane"].get(key)
        figure = None if kept is None else kept.figure(key)
        if figure is not None:
            sd = figure.sd if figure.of_log else figure.sd / max(figure.value, 1e-12)
        elif prior is not None:
            value = getattr(house.membrane, key.removeprefix("membrane."))
            sd = prior.sd if prior.of_log else prior.sd / max(value, 1e-12)
        else:
            continue
        found.append(Candidate(key, what, sd, reading_sd_log))
    return found
