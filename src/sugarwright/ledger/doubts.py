"""Which readings can't be right: found one by one, each with what the others say, and its slip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sugarwright.ledger.chance import chi_square_limit, shared_limit
from sugarwright.ledger.fit import Fit, cost_without, fit_season
from sugarwright.ledger.reconcile import Floats
from sugarwright.ledger.slips import Slip, entered_twice, likely_slips, wrong_tank
from sugarwright.ledger.suspicion import alike, likelihood_tests
from sugarwright.ledger.tape import Doubted, Statement
from sugarwright.ledger.timeline import TANKS, Item, Timeline
from sugarwright.plant.house import House

LEVEL = 0.02
"""Chance that anything at all is doubted in a season whose readings are all right."""
MOST = 8
SEEN = 0.1
"""A reading off by one standard deviation must move the mismatch by this, to be tested at all."""
SIZE_KG = 40.0
"""Losses are counted in pails of this size: two or so."""
UNSEEN = 0.2
"""A pail lost must move it by this."""
MARGIN = 6.0
"""Explanations whose likelihood ratios are this near are told together: twenty to one and less."""
SAME = 0.6
"""... if they explain much of the same: cosine of their directions."""
FAR = 8.0
"""An error so many deviations off is looked into by whole fits."""
PLANT = (
    "sap tank's size",
    "stock tank's size",
    "permeate tank's size",
    "hydrometer",
    "boil rate",
    "boil",
)


@dataclass(frozen=True)
class Suspect:
    """Something that may be wrong.

    Parameters
    ----------
    what : "reading", "unseen" (lost or come with no entry) or "plant" (not as described)
    quantity : of a reading "volume", "brix", "permeate_flow" ...; of the plant: what of it
    place : where
    begin_s, at_s : when: of a reading at_s; of what is unseen from begin_s to at_s; UTC s
    keys : of the entries that state it
    read : as entered and corrected, m³ or Brix; None where nothing was read
    expected, expected_sd : what all other readings say; of what is unseen: kilograms lost
        (negative: come)
    z : how far off it is, in standard deviations of what can be told
    slip : the likely slip; None when none fits
    slip_key : of the entry that the slip is in
    """

    what: str
    quantity: str
    place: str
    begin_s: float
    at_s: float
    keys: tuple[str, ...]
    read: float | None
    expected: float
    expected_sd: float
    z: float
    slip: Slip | None = None
    slip_key: str = ""


@dataclass(frozen=True)
class Doubt:
    """One thing that is wrong: it is one of these, the likeliest first.

    Parameters
    ----------
    suspects : more than one when the readings can't tell them apart
    """

    suspects: tuple[Suspect, ...]


@dataclass(frozen=True)
class Hypotheses:
    """What may be wrong in a fit.

    Parameters
    ----------
    statements, leaks : numbers of those that are tested
    directions : (rows, hypotheses): statements by one standard deviation, then leaks by a pail
    z : (hypotheses,)
    limit : what |z| chance gives to all together
    """

    statements: tuple[int, ...]
    leaks: tuple[int, ...]
    directions: Floats
    z: Floats
    limit: float


def hypotheses(fit: Fit) -> Hypotheses:
    """Return what may be wrong, with its tests."""
    lengths = np.sqrt((fit.of_statement**2).sum(axis=0))
    tested = tuple(
        number
        for number, each in enumerate(fit.statements)
        if lengths[number] > SEEN and (each.kind == "reading" or each.quantity in PLANT)
    )
    by_pail = SIZE_KG * fit.of_leak
    leaks = tuple(int(number) for number in np.flatnonzero((by_pail**2).sum(axis=0) > UNSEEN**2))
    directions = np.hstack([fit.of_statement[:, list(tested)], by_pail[:, list(leaks)]])
    z = likelihood_tests(fit.missed, directions)
    return Hypotheses(tested, leaks, directions, z, shared_limit(max(len(z), 1), LEVEL))


def find_doubts(house: House, timeline: Timeline) -> tuple[Fit, tuple[Doubt, ...]]:
    """Find what is wrong, one by one; each is set aside before the next is looked for.

    Parameters
    ----------
    house, timeline : the house and its record

    Returns
    -------
    The fit without what is doubted, and the doubts.
    """
    doubted: tuple[Doubted, ...] = ()
    doubts: list[Doubt] = []
    fit = fit_season(house, timeline)
    while len(doubts) < MOST:
        found = first_doubt(house, fit, doubted)
        if found is None:
            break
        doubt, aside = found
        doubts.append(doubt)
        doubted = (*doubted, aside)
        fit = fit_season(house, timeline, doubted, fit.values)
    return fit, tuple(doubts)


def first_doubt(
    house: House, fit: Fit, doubted: Sequence[Doubted] = ()
) -> tuple[Doubt, Doubted] | None:
    """Return the plainest error of a fit and what to set aside for it; None if there is none.

    Parameters
    ----------
    house : the described house
    fit : without what is doubted already
    doubted : that
    """
    have = hypotheses(fit)
    if len(have.z) == 0 or np.abs(have.z).max() <= have.limit:
        return None
    best = int(np.argmax(np.abs(have.z)))
    either = _either(have, best)
    if abs(have.z[best]) > FAR:
        either = _tried(house, fit, have, best, doubted)
    suspects = [
        _suspect(house, fit, have, each, _says(house, fit, have, each, doubted)) for each in either
    ]
    named = _by_slips(suspects)
    return Doubt(tuple(named)), _aside(fit, have, either[suspects.index(named[0])])


def _either(have: Hypotheses, best: int) -> list[int]:
    """Return what explains it as well as the best does, the best first."""
    lengths = np.sqrt((have.directions**2).sum(axis=0))
    cosines = np.abs(have.directions[:, best] @ have.directions) / (lengths * lengths[best])
    close = (have.z**2 >= have.z[best] ** 2 - MARGIN) & (cosines > SAME)
    found = {*np.flatnonzero(close).tolist(), *alike(have.directions, best)} - {best}
    return [best, *sorted(found, key=lambda each: -abs(float(have.z[each])))]


def _tried(
    house: House, fit: Fit, have: Hypotheses, best: int, doubted: Sequence[Doubted]
) -> list[int]:
    """Return what explains a large error best, tried by fits of their own.

    So far from balance the last linear step may say little of what is left without the error. If
    without the plainest nothing is left to explain, it stands; else the next are tried as well.
    """
    timeline = fit.walked.timeline
    costs: dict[int, float] = {}

    def cost(each: int) -> float:
        aside = (*doubted, _aside(fit, have, each))
        return cost_without(house, timeline, aside, fit.values)

    costs[best] = cost(best)
    if costs[best] <= chi_square_limit(len(fit.statements), 1e-3):
        return _either(have, best)
    for each in _worth_trying(fit, have, best):
        costs[each] = cost(each)
    least = min(costs.values())
    if costs[best] <= least + MARGIN:
        return _either(have, best)
    close = [each for each in costs if costs[each] <= least + MARGIN]
    return sorted(close, key=lambda each: (costs[each], each))


def _worth_trying(fit: Fit, have: Hypotheses, best: int) -> list[int]:
    """Return the next plainest, and what may have been lost or come unseen about the same time."""
    order = sorted(range(len(have.z)), key=lambda each: -abs(float(have.z[each])))
    readings = [each for each in order if each < len(have.statements)][:4]
    about = {fit.statements[have.statements[each]].period for each in readings[:2]}
    unseen = [
        len(have.statements) + place
        for place, number in enumerate(have.leaks)
        if fit.leaks[number].period in about and fit.leaks[number].place != "pan"
    ]
    plain = sorted(unseen, key=lambda each: -abs(float(have.z[each])))[:3]
    return sorted({*readings, *plain} - {best})


def _by_slips(suspects: list[Suspect]) -> list[Suspect]:
    """Return who is named: those whose slip fits, if any does; a known slip beats a mere number."""
    with_slip = [each for each in suspects if each.slip is not None]
    if not with_slip:
        return suspects
    return with_slip


def _aside(fit: Fit, have: Hypotheses, number: int) -> Doubted:
    if number < len(have.statements):
        made = fit.statements[have.statements[number]]
        return Doubted(made.quantity, made.place, made.period, made.kind)
    leak = fit.leaks[have.leaks[number - len(have.statements)]]
    return Doubted("leak", leak.place, leak.period, "leak")


def _says(
    house: House, fit: Fit, have: Hypotheses, number: int, doubted: Sequence[Doubted]
) -> tuple[float, float]:
    """Return what all others say of a reading (of a loss: its kilograms), and how surely.

    Near by it follows from the linear step; of a large error a fit without it is asked.
    """
    direction = have.directions[:, number]
    length = math.sqrt(float(direction @ direction))
    size = float(direction @ fit.missed) / length**2
    is_leak = number >= len(have.statements)
    if abs(have.z[number]) <= FAR:
        if is_leak:
            return size * SIZE_KG, SIZE_KG / length
        made = fit.statements[have.statements[number]]
        return made.value - size * made.sd, made.sd / length
    aside = _aside(fit, have, number)
    without = fit_season(house, fit.walked.timeline, (*doubted, aside), fit.values)
    if is_leak:
        place = without.walked.tape.keys[f"leak {aside.place}", aside.period]
        lost_kg = without.values[f"leak {aside.place}", aside.period]
        return lost_kg, math.sqrt(float(without.covariance[place, place]))
    made = fit.statements[have.statements[number]]
    predicted = without.walked.tape.predicted[have.statements[number]]
    return predicted.value, math.hypot(made.sd, without.sd(predicted))


def _suspect(
    house: House, fit: Fit, have: Hypotheses, number: int, says: tuple[float, float]
) -> Suspect:
    z = float(have.z[number])
    expected, sd = says
    periods = fit.walked.timeline.periods
    if number >= len(have.statements):
        leak = fit.leaks[have.leaks[number - len(have.statements)]]
        period = periods[leak.period]
        return Suspect(
            "unseen", "mass", leak.place, period.begin_s, period.end_s, (), None, expected, sd, z
        )
    made = fit.statements[have.statements[number]]
    period = periods[max(made.period, 0)]
    at_s = made.items[-1].entry.at_s if made.items else period.end_s
    begin_s = made.items[0].entry.at_s if made.items else period.begin_s
    if made.kind == "plant" and made.period < 0:
        begin_s, at_s = periods[0].begin_s, periods[-1].end_s
    what = "reading" if made.kind == "reading" else "plant"
    slip, key = _slip(house, fit, made, expected, sd) if made.items else (None, "")
    keys = tuple(each.entry.key for each in made.items)
    return Suspect(
        what, made.quantity, made.place, begin_s, at_s, keys, made.value, expected, sd, z, slip, key
    )


def _slip(
    house: House, fit: Fit, made: Statement, expected: float, sd: float
) -> tuple[Slip | None, str]:
    """Try every slip on every entry that states a reading; the likeliest that fits is told."""
    found: list[tuple[int, Slip, str]] = []
    for item in made.items:
        own = item.values[made.quantity].value
        if made.quantity == "volume":
            left = own + expected - made.value
            around = [each.entry for p in _near(fit, made.period) for each in p]
            twice = entered_twice(item.entry, around)
            if twice is not None and abs(left) <= 2.5 * sd:
                found.append((0, twice, item.entry.key))
            tank = wrong_tank(house, item.entry, _other_tanks(fit, item, made.period))
            if tank is not None:
                found.append((1, tank, item.entry.key))
        elif made.quantity == "brix" and len(made.items) == 1:
            left = own + expected - made.value
        else:
            continue
        for slip in likely_slips(house, item.entry, made.quantity, left, sd):
            hot_syrup = slip.kind == "read hot" and item.entry.kind == "draw"
            found.append((1 if hot_syrup else _RANK[slip.kind], slip, item.entry.key))
    if not found:
        return None, ""
    _, slip, key = min(found, key=lambda each: each[0])
    return slip, key


_RANK = {
    "other unit": 2, "decimal point": 3, "digits swapped": 4, "read hot": 5,
    "digit too many": 6, "digit left out": 7,
}  # fmt: skip


def _near(fit: Fit, number: int) -> Sequence[Sequence[Item]]:
    periods = fit.walked.timeline.periods[max(number - 2, 0) : number + 3]
    return [each.moves for each in periods]


def _other_tanks(fit: Fit, item: Item, number: int) -> list[tuple[str, float, float]]:
    """Return what the other tanks held when a level was read."""
    found = []
    for place in TANKS:
        if place == item.entry.place or place not in fit.walked.held:
            continue
        volume = fit.walked.volumes[place, number]
        sd = math.hypot(fit.sd(volume), item.values["volume"].sd)
        found.append((place, volume.value, sd))
    return found
