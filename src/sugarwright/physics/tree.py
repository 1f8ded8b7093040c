"""How a tapped maple answers the weather: hour by hour, sap per tap and its Brix.

A maple exudes sap when frozen wood thaws. Freezing draws water up into the wood and compresses gas
(J.A. Milburn and P.E.R. O'Malley, Can. J. Bot. 62, 1984; I. Graf, M. Ceseri and J.M. Stockie,
J. R. Soc. Interface 12, 2015); thawing lets the gas push it out. The full equations need facts
about a stem that nobody measures, so this model keeps only their behaviour, in five states:

1. wood follows the air with a lag (a stem is thick);
2. freezing wood gathers a *charge* that saturates: uptake is seen only while wood stands between
   about -1.0 and -0.3 degC, so deep cold adds nothing;
3. thawing turns charge into a *store* under pressure;
4. the store drains through the tap while the wood is thawed, faster under vacuum; a new frost draws
   some of it back, long warmth lets the pressure go;
5. microbes close the tap hole: warmth summed since tapping ends the season.

The step is one hour, exactly; there is no finer one, since weather is hourly. Published figures
give the defaults below, with how far a house may stand from them in :data:`TREE_PRIOR_SPREAD`:
what a maker's own gatherings teach goes into ``bush_scale`` first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from sugarwright.physics.valid import valid


class TreeParameters(NamedTuple):
    """What one sugarbush is like; the defaults are prior medians.

    Parameters
    ----------
    wood_lag_h : time constant of wood behind air; a stem of 25 to 40 cm has several hours
    freeze_c : wood charges below this; uptake is seen from -0.3 to -1.0 degC of wood
    thaw_c : wood releases its charge above this; outflow is seen above +0.5 degC of wood
    charge_per_k_h : how fast frost charges; a night at -3 degC fills some seven tenths
    release_per_k_h : how fast warmth releases; one warm afternoon does most of it
    drawback_per_h : share of the store (as a rate) drawn back in for each hour of frost
    flow_lag_h : time constant of the draining store; flow lasts 6 to 30 h after a thaw
    warm_c : warmth counts above this, for lost pressure and for tap holes
    loss_per_k_h : pressure lost for each degree and hour of warmth
    full_charge_m3 : sap of one full charge, per tap, by gravity. Set so that springs with 15 to 30
        freeze-thaw days give 7 to 14 US gal; 10 to 12 is common (from memory)
    ageing_half_k_h : warmth since tapping at which half of the tap hole is closed
    ageing_spread_k_h : how gradual the closing is
    vacuum_gain_per_pa : more sap for each pascal of vacuum at the tap hole: 0.06 for each inch of
        mercury (3386.39 Pa); trade figure 0.05, and 0.05 to 0.07 to 25 inHg (from memory)
    vacuum_weep_m3_h_pa : what vacuum draws from thawed wood without a frost: 1 mL/h for each inHg
    weep_above_c : wood is thawed enough for that above this
    bush_scale : this bush against the usual one: what the maker's gatherings teach
    brix_start : Brix when the taps are set; 2 to 3 is usual for sugar maple
    brix_rise, brix_rise_days : the first days are a little sweeter than the very first
    brix_fall_per_day : then it falls
    brix_fall_per_k_h : and falls with warmth since tapping
    dilution_brix_per_m3, dilution_above_m3 : a tap that ran much in the last day is weaker
    """

    wood_lag_h: float = 3.0
    freeze_c: float = -0.7
    thaw_c: float = 0.3
    charge_per_k_h: float = 0.06
    release_per_k_h: float = 0.06
    drawback_per_h: float = 0.3
    flow_lag_h: float = 10.0
    warm_c: float = 5.0
    loss_per_k_h: float = 0.005
    full_charge_m3: float = 0.006
    ageing_half_k_h: float = 1300.0
    ageing_spread_k_h: float = 280.0
    vacuum_gain_per_pa: float = 0.06 / 3386.389
    vacuum_weep_m3_h_pa: float = 1.0e-6 / 3386.389
    weep_above_c: float = 0.5
    bush_scale: float = 1.0
    brix_start: float = 2.2
    brix_rise: float = 0.15
    brix_rise_days: float = 10.0
    brix_fall_per_day: float = 0.012
    brix_fall_per_k_h: float = 0.30e-3
    dilution_brix_per_m3: float = 60.0
    dilution_above_m3: float = 0.002


#: How far houses stand from the defaults: ("log", standard deviation of the logarithm) or
#: ("linear", standard deviation). From the study named in the tests and from memory.
TREE_PRIOR_SPREAD: dict[str, tuple[str, float]] = {
    "wood_lag_h": ("log", 0.3),
    "freeze_c": ("linear", 0.4),
    "thaw_c": ("linear", 0.3),
    "charge_per_k_h": ("log", 0.5),
    "release_per_k_h": ("log", 0.5),
    "flow_lag_h": ("log", 0.3),
    "full_charge_m3": ("log", 0.35),
    "ageing_half_k_h": ("log", 0.3),
    "vacuum_gain_per_pa": ("linear", 0.01 / 3386.389),
    "bush_scale": ("log", 0.35),
    "brix_start": ("linear", 0.25),
}


class TreeState(NamedTuple):
    """Where the trees stand, per tap.

    Parameters
    ----------
    wood_c : temperature of the wood, degC
    charge : 0 (none) to 1 (full): what frost has laid up and no thaw has released
    store_m3 : sap under pressure, ready to run
    warm_k_h : warmth since tapping, K h above ``warm_c``
    recent_m3 : sap of about the last day (a sum that forgets with a time constant of 24 h)
    runs : freezes begun so far; what flows between two of them is one run
    """

    wood_c: float
    charge: float = 0.0
    store_m3: float = 0.0
    warm_k_h: float = 0.0
    recent_m3: float = 0.0
    runs: float = 0.0


@valid(temperature_c=(-60.0, 60.0), vacuum_pa=(0.0, 101325.0), days_since_tapping=(-1e4, 1e4))
def tree_hour(
    state: TreeState,
    temperature_c: float,
    vacuum_pa: float,
    days_since_tapping: float,
    parameters: TreeParameters,
) -> tuple[TreeState, float]:
    """Let one hour pass over the trees.

    Before tapping, charge and release go on, and what would run is taken up again by the tree.

    Parameters
    ----------
    state : TreeState at the hour's begin
    temperature_c : air temperature of the hour, degC
    vacuum_pa : pressure below the air's at the tap hole, Pa (0 for a bucket)
    days_since_tapping : d; negative before
    parameters : TreeParameters

    Returns
    -------
    (TreeState at the hour's end, sap in m3 per tap in that hour)

    Raises
    ------
    RangeError : outside the ranges given beside the function

    Notes
    -----
    This project's own reduction of the mechanism described at the top of the module.

    Examples
    --------
    >>> warm = TreeState(wood_c=4.0, store_m3=0.003)
    >>> after, sap_m3 = tree_hour(warm, 6.0, 0.0, 5.0, TreeParameters())
    >>> print(f"{1000 * sap_m3:.3f} L")
    0.283 L
    """
    p = parameters
    wood_c = state.wood_c + (temperature_c - state.wood_c) * -math.expm1(-1.0 / p.wood_lag_h)
    charge, store_m3, warm_k_h, runs = state.charge, state.store_m3, state.warm_k_h, state.runs
    if wood_c < p.freeze_c:
        charge += (1.0 - charge) * -math.expm1(-p.charge_per_k_h * (p.freeze_c - wood_c))
        store_m3 *= math.exp(-p.drawback_per_h)
        runs += 1.0 if state.wood_c >= p.freeze_c else 0.0
    if wood_c > p.thaw_c:
        released = charge * -math.expm1(-p.release_per_k_h * (wood_c - p.thaw_c))
        charge -= released
        store_m3 += released * p.full_charge_m3
    drained_m3 = 0.0
    if wood_c > 0.0:
        drained_m3 = store_m3 * -math.expm1(-1.0 / p.flow_lag_h)
        store_m3 = (store_m3 - drained_m3) * math.exp(-p.loss_per_k_h * max(wood_c - p.warm_c, 0.0))
    sap_m3 = 0.0
    if days_since_tapping >= 0.0:
        warm_k_h += max(temperature_c - p.warm_c, 0.0)
        closing = (warm_k_h - p.ageing_half_k_h) / p.ageing_spread_k_h
        openness = 0.5 - 0.5 * math.tanh(0.5 * closing)  # the logistic curve, without overflow
        weep_m3 = p.vacuum_weep_m3_h_pa * vacuum_pa if wood_c > p.weep_above_c else 0.0
        sap_m3 = openness * (drained_m3 * (1.0 + p.vacuum_gain_per_pa * vacuum_pa) + weep_m3)
        sap_m3 *= p.bush_scale
    recent_m3 = state.recent_m3 * math.exp(-1.0 / 24.0) + sap_m3
    return TreeState(wood_c, charge, store_m3, warm_k_h, recent_m3, runs), sap_m3


@valid(days_since_tapping=(-1e4, 1e4))
def sap_brix(state: TreeState, days_since_tapping: float, parameters: TreeParameters) -> float:
    """Return the Brix that sap is expected to have; days scatter about it (see the ensemble).

    Parameters
    ----------
    state : TreeState
    days_since_tapping : d
    parameters : TreeParameters

    Returns
    -------
    Mass percent of dissolved solids, kept within 0.8 to 4.0.

    Raises
    ------
    RangeError : outside the ranges given beside the function

    Notes
    -----
    The figures are from memory and have not been held against a season of measured Brix; a maker's
    own readings should replace ``brix_start`` early.

    Examples
    --------
    >>> print(round(sap_brix(TreeState(wood_c=3.0), 0.0, TreeParameters()), 2))
    2.2
    """
    p = parameters
    days = max(days_since_tapping, 0.0)
    brix = p.brix_start + p.brix_rise * min(days / p.brix_rise_days, 1.0)
    brix -= p.brix_fall_per_day * max(days - p.brix_rise_days, 0.0)
    brix -= p.brix_fall_per_k_h * state.warm_k_h
    brix -= p.dilution_brix_per_m3 * max(state.recent_m3 - p.dilution_above_m3, 0.0)
    return min(max(brix, 0.8), 4.0)


def run_tree(
    temperatures_c: Iterable[float],
    hours_to_tapping: float,
    vacuum_pa: float = 0.0,
    parameters: TreeParameters | None = None,
    start: TreeState | None = None,
) -> tuple[list[float], list[float], TreeState]:
    """Run a series of hours in plain Python: the slow twin of ``plant.sap_run``.

    Parameters
    ----------
    temperatures_c : air temperature of each hour, degC
    hours_to_tapping : h from the first hour's begin until the taps are set; negative if they are
    vacuum_pa : vacuum at the tap hole, Pa
    parameters : TreeParameters, the prior medians if left out
    start : TreeState to go on from; left out: thawed of charge, wood as warm as the first hour

    Returns
    -------
    (m3 of sap per tap and hour, Brix of each hour, TreeState at the end)

    Raises
    ------
    RangeError : if an hour is outside the ranges of :func:`tree_hour`

    Examples
    --------
    >>> night_and_day = [-4.0] * 12 + [6.0] * 12
    >>> sap_m3, brix, end = run_tree(night_and_day, hours_to_tapping=0.0)
    >>> print(f"{1000 * sum(sap_m3):.2f} L")
    2.42 L
    """
    p = parameters or TreeParameters()
    state = start
    saps_m3: list[float] = []
    brixes: list[float] = []
    for hour, temperature_c in enumerate(temperatures_c):
        days = (hour - hours_to_tapping) / 24.0
        state = TreeState(wood_c=temperature_c) if state is None else state
        state, sap_m3 = tree_hour(state, temperature_c, vacuum_pa, days, p)
        saps_m3.append(sap_m3)
        brixes.append(sap_brix(state, days, p))
    return saps_m3, brixes, state or TreeState(wood_c=0.0)
