"""What was learnt of instruments, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sugarwright.learning.instrument_keys import instrument_of_key
from sugarwright.units import TEMPERATURE_DIFFERENCE, show

if TYPE_CHECKING:
    from sugarwright.learning.instruments import InstrumentLesson
    from sugarwright.learning.kept import Figure


def amount_text(quantity: str, value: float, system: str) -> str:
    """Return how far an instrument is off.

    Parameters
    ----------
    quantity : "brix", "temperature" or "volume"
    value : Brix, K, or part of the volume; 0 or more
    system : "us" or "metric"
    """
    if quantity == "temperature":
        return show(value, TEMPERATURE_DIFFERENCE, system, 1)
    return f"{value:.2f} Brix" if quantity == "brix" else f"{100.0 * value:.0f} %"


def would_tell_text(lesson: InstrumentLesson, system: str) -> str:
    """Return which reading would tell how the hydrometer reads; "" where the log says it already.

    Parameters
    ----------
    lesson : what the log says of instruments
    system : "us" or "metric"
    """
    unsettled = {each.instrument for each in lesson.biases if not each.settled}
    if "hydrometer" not in unsettled:
        return ""
    warmth = "60F" if system == "us" else "15.6C"
    return (
        f"What would tell: hold the hydrometer in clean water at {warmth} and log what it shows, "
        f'as in "clean water 0.1 hydrometer {warmth}"; the refractometer likewise, '
        '"clean water 0.0 refractometer". Three times, on different days, tell most.'
    )


def bias_text(key: str, bias: float, system: str) -> str:
    """Return how an instrument reads: "hydrometer reads 0.15 Brix high"."""
    quantity, instrument = instrument_of_key(key)
    way = "high" if bias >= 0.0 else "low"
    return f"{instrument} reads {amount_text(quantity, abs(bias), system)} {way}"


def corrections_text(figures: Sequence[Figure], comparisons: int, system: str) -> str:
    """Return in a sentence which readings are set right, and by what; "" where none are.

    Parameters
    ----------
    figures : the biases that were kept
    comparisons : that taught them
    system : "us" or "metric"
    """
    if not figures:
        return ""
    said = ", the ".join(bias_text(each.key, each.value, system) for each in figures)
    counted = "1 comparison" if comparisons == 1 else f"{comparisons} comparisons"
    return f"The {said} by {counted}: corrected."
