"""Readings that cannot be, or that nothing foretold: kept, told, and not believed at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.told import Reading

FAR_SD = 5.0  # standard deviations of reading and ensemble together
LEAST_FRACTION = 0.06  # of a tank's rim: nearer than that nobody is asked back
LEAST_BY_QUANTITY = {"brix": 0.6, "temperature": 6.0, "wood": 0.4, "drawn": 0.002}
LEAST_OTHER = 0.25  # of the expected value, where nothing else is said
LIKELY_SD = 2.0  # what a slip would have meant must be so near
SIDE_SDS = 1.645  # from the median to the 5th or 95th percentile of a normal
FAR_SHARE, FAR_SIDE_SDS = 0.01, 2.326  # the same to the 1st or 99th
_LITRES_A_GALLON = 3.785411784

OPEN, BELIEVED, REFUTED = "open", "believed", "not believed"


@dataclass(frozen=True)
class Doubt:
    """A questioned reading.

    Parameters
    ----------
    key, at_s, place, quantity, value : of the reading
    typed : as it was written
    measured : quantity of the logbook ("depth" of a volume), and its value
    expected_low, expected, expected_high : what the twin foretold: 5, 50 and 95 %
    allowed_high : the rim, where the reading is beyond it
    perhaps : what may have been meant: the number in the unit as typed, or another place
    state : "open", "believed" (a second reading agreed) or "not believed" (one spoke against it)
    sensor : series of the sensor that said so; "" where a person read it
    """

    key: str
    at_s: float
    place: str
    quantity: str
    value: float
    typed: str
    measured: tuple[str, float]
    expected_low: float
    expected: float
    expected_high: float
    allowed_high: float | None = None
    perhaps: str = ""
    state: str = OPEN
    sensor: str = ""

    @property
    def name(self) -> tuple[str, str]:
        """Place and quantity."""
        return self.place, self.quantity

    def now(self, state: str) -> Doubt:
        """Return the same doubt in another state."""
        return replace(self, state=state)


def distance_sd(prior: Floats, value: float, sd: float) -> float:
    """How far a reading lies from what was foretold, in standard deviations of its own side."""
    return _distance_sd(prior, value, sd, 0.05, SIDE_SDS)


def _distance_sd(prior: Floats, value: float, sd: float, share: float, sds: float) -> float:
    """The same, by where so small a share of the members begins on that side."""
    low, middle, high = np.quantile(prior, [share, 0.5, 1.0 - share])
    side = (high - middle) if value > middle else (middle - low)
    return float(abs(value - middle) / np.hypot(side / sds, sd))


def impossible(reading: Reading) -> bool:
    """Tell whether a tank cannot hold what was read, even if the stick was read a little off."""
    if reading.allowed is None:
        return reading.value < -3.0 * reading.sd
    low, high = reading.allowed
    tolerance = max(3.0 * reading.sd, 0.02 * high)
    return not low - tolerance <= reading.value <= high + tolerance


def is_far(reading: Reading, prior: Floats) -> bool:
    """Tell whether a reading jumps without a cause that was logged.

    Each side is judged by its own spread. A side that ends soon after its last twentieth (a tank
    can have lost no more than its membrane draws) is judged by its end: there a normal's tail, five
    standard deviations long, would swallow what no member comes near.
    """
    gap = abs(reading.value - float(np.median(prior)))
    return gap > _least_gap(reading, prior) and _off_sd(reading, prior) > FAR_SD


def _off_sd(reading: Reading, prior: Floats) -> float:
    found = distance_sd(prior, reading.value, reading.sd)
    if len(prior) * FAR_SHARE < 1.0:  # no member stands for so small a share
        return found
    end = _distance_sd(prior, reading.value, reading.sd, FAR_SHARE, FAR_SIDE_SDS)
    return max(found, end)


def _least_gap(reading: Reading, prior: Floats) -> float:
    if reading.allowed is not None:
        return LEAST_FRACTION * reading.allowed[1]
    middle = float(np.median(prior))
    return LEAST_BY_QUANTITY.get(reading.quantity, LEAST_OTHER * max(abs(middle), 1e-9))


def question(
    reading: Reading, prior: Floats, elsewhere: Mapping[str, tuple[Floats, float]]
) -> Doubt:
    """Put a doubt into a value that can be told.

    Parameters
    ----------
    reading : what is doubted
    prior : (members,) what was foretold
    elsewhere : of the same quantity at the house's other tanks: what is foretold there, and the rim
    """
    low, middle, high = np.quantile(prior, [0.05, 0.5, 0.95])
    beyond = reading.allowed[1] if reading.allowed and impossible(reading) else None
    return Doubt(
        reading.key, reading.at_s, reading.place, reading.quantity, reading.value,
        reading.measure.typed, (reading.measure.quantity, reading.measure.value),
        float(low), float(middle), float(high), beyond,
        "" if reading.sensor else _perhaps(reading, prior, elsewhere), sensor=reading.sensor,
    )  # fmt: skip


def _perhaps(reading: Reading, prior: Floats, elsewhere: Mapping[str, tuple[Floats, float]]) -> str:
    """Return what may have been meant: a slip of the pen, or another tank."""
    untyped = f"{abs(reading.measure.value):.6f}".rstrip("0").rstrip(".")  # digits, never "1e-9"
    found = re.search(r"\d+(?:[.,]\d+)?", reading.measure.typed)
    number = found[0].replace(",", ".") if found else untyped
    for slip in _slips(number, reading.measure.typed):
        ratio = float(slip) / float(number) if float(number) else 0.0
        meant = reading.value * ratio
        if ratio > 0.0 and distance_sd(prior, meant, reading.sd) < LIKELY_SD:
            return slip
    for place, (values, rim) in elsewhere.items():
        likely = distance_sd(values, reading.value, reading.sd) < LIKELY_SD
        if reading.value <= rim and likely and _is_sharp(values, rim):
            return place
    return ""


def _is_sharp(values: Floats, rim: float) -> bool:
    """Tell whether something is known there: of a tank that may hold anything, nothing follows."""
    low, high = np.quantile(values, [0.05, 0.95])
    return bool(high - low < 0.4 * rim)


def _slips(number: str, typed: str) -> Iterator[str]:
    """Yield what else may have been meant by a number, the likeliest first."""
    digits = number.replace(".", "")
    value = float(number)
    yield f"{value / 10:g}"
    yield f"{value * 10:g}"
    yield from _swapped(number)
    yield f"{value / 100:g}"
    for place in range(len(digits)):  # a digit too many
        if len(digits) > 2 and "." not in number:
            yield digits[:place] + digits[place + 1 :]
    if re.search(r"\bgal", typed):
        yield f"{value / _LITRES_A_GALLON:.3g}"
    elif re.search(r"\bL\b", typed):
        yield f"{value * _LITRES_A_GALLON:.3g}"


def _swapped(number: str) -> Iterable[str]:
    for (i, one), (j, other) in pairwise(enumerate(number)):
        if one != other and "." not in (one, other):
            yield number[:i] + other + one + number[j + 1 :]
