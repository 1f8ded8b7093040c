"""The weathers that a plan is judged in: one forecast, and what it may turn out to be."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sugarwright.errors import InputError
from sugarwright.physics.tree import TreeParameters
from sugarwright.plant.assemble import Plant
from sugarwright.plant.drive import make_drive, tapped_s, tree_parameters
from sugarwright.plant.sap_run import sap_run
from sugarwright.plant.simulate import Drive
from sugarwright.plant.tank_kernel import Floats
from sugarwright.plant.tree_knowledge import TreeKnowledge, nothing_learnt, tree_members
from sugarwright.weather.ensemble import PRIOR, perturb, run_multipliers
from sugarwright.weather.forecast_errors import ForecastErrors
from sugarwright.weather.hours import HOUR_S, HourlyWeather, local_text

SEARCHED = 24  # weathers in the search: of 8 a plan suits too well
OTHERS = 40  # beside them, in which the best that it found are told apart and refined
CHECKED = 40  # fresh ones to judge what was found
_SCALE = TreeParameters._fields.index("bush_scale")


@dataclass(frozen=True)
class Weathers:
    """Sets of weathers over the same hours.

    Parameters
    ----------
    forecast : the forecast itself, trees as expected
    searched : those that the search judges candidates in
    compared : those first and then others, in which the best candidates are told apart and refined
    checked : others again, so that what is reported was not fitted to
    before_c : air of the hours before the first of these, °C; None where it is not known
    """

    forecast: Drive
    searched: Drive
    compared: Drive
    checked: Drive
    before_c: Floats | None = None


@dataclass(frozen=True)
class RunUnderWay:
    """How much the run of sap that is under way gives, by what has come of it so far.

    Parameters
    ----------
    scale : sap per tap against an ordinary bush in the same weather, in the mean
    sd_log : standard deviation of its logarithm
    """

    scale: float
    sd_log: float


@dataclass(frozen=True)
class Belief:
    """What is believed of forecast and trees, beyond the forecast itself.

    Parameters
    ----------
    errors : how forecasts err at this place
    sd_k : (hours of the weather,) what the forecast's source says of its own error [K]; None
        without it
    trees : what is known of the trees in this season; None: what the house's description says, as
        unsure as of any house
    cautions : what should be known before trusting the forecast, in sentences
    searched_c, checked_c : (members, hours of the weather) temperatures of a real ensemble [°C], to
        find a plan in and to judge it by; None: drawn about the forecast
    run : of the run of sap under way; None: nothing has been seen of it
    """

    errors: ForecastErrors = PRIOR
    sd_k: Floats | None = None
    trees: TreeKnowledge | None = None
    cautions: tuple[str, ...] = ()
    searched_c: Floats | None = None
    checked_c: Floats | None = None
    run: RunUnderWay | None = None


def make_weathers(
    plant: Plant,
    weather: HourlyWeather,
    now_s: int,
    hours: int,
    seed: int,
    belief: Belief | None = None,
) -> Weathers:
    """Make the weathers of a plan.

    Parameters
    ----------
    plant : the house
    weather : hours before ``now_s`` (they bring the trees up to date: two weeks with a frost are
        enough) and the forecast, without a gap
    now_s : UTC s at which the plan begins, with the step that this falls in
    hours : length of the plan, h, from the hour that ``now_s`` falls in
    seed : of the draws
    belief : of forecast and trees; left out: the priors

    Returns
    -------
    Weathers

    Raises
    ------
    InputError : when the weather does not reach over the hours of the plan
    """
    begin_s = now_s - now_s % HOUR_S
    end_s = begin_s + hours * HOUR_S
    if weather.first_s > begin_s or weather.end_s < end_s:
        zone = plant.house.site.timezone
        raise InputError(
            "weather",
            f"{local_text(weather.first_s, zone)} to {local_text(weather.end_s, zone)}",
            "does not reach over the hours to be planned",
            f"at least {local_text(begin_s, zone)} to {local_text(end_s, zone)}",
            "Give a longer forecast, another beginning, or fewer hours.",
        )
    known = weather.between(weather.first_s, end_s)
    belief = belief or Belief()

    def drive(members: int, own_seed: int, ensemble_c: Floats | None) -> Drive:
        if ensemble_c is None:
            air_c = _perturbed(plant, known, begin_s, members, own_seed, belief)
        else:
            air_c = ensemble_c[:, : len(known)]
        return _drive(plant, known, now_s, end_s, air_c, own_seed, belief)

    searched = drive(SEARCHED, seed, belief.searched_c)
    return Weathers(
        forecast=drive(1, seed, None),
        searched=searched,
        compared=_together(searched, drive(OTHERS, seed + 2, _repeated(belief.searched_c))),
        checked=drive(CHECKED, seed + 1, belief.checked_c),
        before_c=known.temperature_c[: (begin_s - known.first_s) // HOUR_S],
    )


def _repeated(ensemble_c: Floats | None) -> Floats | None:
    """The members of the search again: only their sap is another."""
    if ensemble_c is None:
        return None
    return np.tile(ensemble_c, (max(1, OTHERS // len(ensemble_c)), 1))


def _together(one: Drive, other: Drive) -> Drive:
    """Weathers of two drives over the same hours."""
    air_c = np.concatenate([one.air_c, other.air_c])
    return replace(one, air_c=air_c, sap_kg_s=np.concatenate([one.sap_kg_s, other.sap_kg_s]))


def _perturbed(
    plant: Plant, weather: HourlyWeather, begin_s: int, members: int, seed: int, belief: Belief
) -> Floats:
    issued_s = begin_s if weather.issued_s is None else min(weather.issued_s, begin_s)
    offset_h = plant.house.site.longitude_deg / 15.0
    sd_k = None if belief.sd_k is None else belief.sd_k[: len(weather)]
    return perturb(weather, members, seed, issued_s, offset_h, belief.errors, begin_s, sd_k)


def _drive(
    plant: Plant,
    weather: HourlyWeather,
    now_s: int,
    end_s: int,
    air_c: Floats,
    seed: int,
    belief: Belief,
) -> Drive:
    begin_s, members = now_s - now_s % HOUR_S, len(air_c)
    known = _knowledge(plant, belief)
    trees = tree_members(known, members, seed, tree_parameters(plant.house.trees))
    # A run needs a freeze and a thaw, so there are fewer of them than hours by far.
    factors = run_multipliers(members, len(weather) // 2 + 2, seed)
    if belief.run is not None:
        now = _runs_now(plant, weather.first_s, air_c, begin_s, trees)
        drawn = run_multipliers(members, 1, seed + 1, belief.run.sd_log)[:, 0]
        factors[np.arange(members), now] = belief.run.scale * drawn / trees[:, _SCALE]
    drive = make_drive(plant, weather.first_s, air_c, begin_s, end_s, factors, trees)
    return drive.since(int((now_s - begin_s) // plant.step_s), plant.step_s)


def _runs_now(
    plant: Plant, first_s: int, air_c: Floats, begin_s: int, trees: Floats
) -> NDArray[np.int64]:
    """Number of the run of sap that is under way in each member, (members,)."""
    before = air_c[:, : (begin_s - first_s) // HOUR_S]
    if not before.shape[1]:
        return np.zeros(len(air_c), dtype=np.int64)
    run = sap_run(before, first_s, tapped_s(plant.house), parameters=trees).run
    return np.broadcast_to(run[:, -1], (len(air_c),))


def _knowledge(plant: Plant, belief: Belief) -> TreeKnowledge:
    trees = plant.house.trees
    if belief.trees is not None:
        return belief.trees
    return nothing_learnt(trees.tapped.year, trees.yield_factor, trees.sap_brix)
