"""What each member would have shown to the person who read."""

from __future__ import annotations

import numpy as np

from sugarwright.plant import layout as at
from sugarwright.plant.tank_kernel import Floats, mixed_m3
from sugarwright.twin.advance import make_leg, run_one
from sugarwright.twin.contents import brixes, tanks_of, volumes_m3
from sugarwright.twin.ensemble import STEP_S, Ensemble, Ground
from sugarwright.twin.told import Reading

_LEAST_HELD_M3 = 0.002  # with less in a tank nobody reads its strength


def predicted(ground: Ground, ensemble: Ensemble, reading: Reading) -> Floats | None:
    """Return what each member has at the place of a reading, in its unit.

    None where the house has no such thing, or none of the members can say. A member that cannot
    (no strength without liquid) is given the others' median: it neither speaks for nor against.
    """
    values = _values(ground, ensemble, reading.place, reading.quantity)
    if values is None or not np.isfinite(values).any():
        return None
    return np.where(np.isfinite(values), values, np.nanmedian(values))


def _values(ground: Ground, ensemble: Ensemble, place: str, quantity: str) -> Floats | None:
    plant, x = ground.plant, ensemble.x
    tanks = tanks_of(plant)
    if quantity == "come":
        return _come_m3(ground, ensemble, place)
    if place in tanks:
        return _in_tank(ground, ensemble, tanks[place][0], quantity)
    if place == "pan":
        if quantity == "drawn":
            return drawn_m3(ground, ensemble)
        return np.where(x[:, at.PAN_FILLED] > 0.0, pan_brixes(ground, x), np.nan)
    if place == "woodpile":
        return x[:, at.WOOD_M3].copy()
    if place == "membrane" and plant.p[at.HAS_MEMBRANE] > 0.0:
        permeate_m3_s, concentrate_brix = membrane_now(ground, ensemble)
        return permeate_m3_s if quantity == "permeate_flow" else concentrate_brix
    return None


def _in_tank(ground: Ground, ensemble: Ensemble, tank: int, quantity: str) -> Floats:
    held_m3 = volumes_m3(ground.plant, ensemble.x, tank)
    if quantity == "volume":
        return held_m3
    found = brixes(ensemble.x, tank) if quantity == "brix" else ensemble.x[:, tank + at.TEMPERATURE]
    return np.where(held_m3 > _LEAST_HELD_M3, found, np.nan)


def _come_m3(ground: Ground, ensemble: Ensemble, place: str) -> Floats | None:
    names = [f"gathering:{each.name}" for each in ground.plant.house.gathering]
    return ensemble.come_m3[:, names.index(place)].copy() if place in names else None


def pan_brixes(ground: Ground, x: Floats) -> Floats:
    """Mean strength in each member's pan; 0 where it is empty."""
    count = int(ground.plant.p[at.COMPARTMENTS])
    mass_kg = ground.plant.p[at.COMPARTMENT_KG : at.COMPARTMENT_KG + count].sum()
    strength: Floats = 100.0 * x[:, at.PAN_SUGAR : at.PAN_SUGAR + count].sum(axis=1) / mass_kg
    return strength


def drawn_m3(ground: Ground, ensemble: Ensemble) -> Floats:
    """Syrup that each member has drawn since the fire was lit."""
    kg = ensemble.drawn_kg - ensemble.lit_kg
    return mixed_m3(ground.plant.p, kg[:, 0], kg[:, 1])


def membrane_now(ground: Ground, ensemble: Ensemble) -> tuple[Floats, Floats]:
    """Let every member's membrane run for a step on the side; the ensemble stays as it is.

    Returns
    -------
    Permeate flow [m³/s] and strength of the concentrate [Brix]; NaN where there was no feed.
    """
    trial = ensemble.copy()
    before = trial.x
    before[:, at.MEMBRANE_ON] = 1.0
    before[:, at.FIRE_ON] = before[:, at.HEAT_W] = 0.0
    for tank in (at.STOCK, at.PERMEATE):  # no tank is too full to run into, nor mixes what comes
        before[:, tank : tank + 2] = 0.0
    leg = make_leg(ground, trial, 1)
    flows, strengths = np.full(trial.members, np.nan), np.full(trial.members, np.nan)
    for i in range(trial.members):
        totals = np.zeros(at.TOTALS_SIZE)
        weather = leg.air_c[i], leg.sap_kg_s[i]
        run_one(ground.plant, leg.p[i], leg.calendar, *weather, leg.plans[i], before[i], totals)
        if totals[at.MEMBRANE_S] >= 0.5 * STEP_S:
            volume_m3 = totals[at.PERMEATE_KG] * ground.plant.p[at.WATER_M3_KG]
            flows[i] = volume_m3 / totals[at.MEMBRANE_S]
            strengths[i] = brixes(before[i : i + 1], at.STOCK)[0]
    return flows, strengths
