"""The boil under way, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sugarwright.units import TEMPERATURE, TEMPERATURE_DIFFERENCE, VOLUME, show, to_unit

if TYPE_CHECKING:
    from sugarwright.bench.boil import Boil, Draw
    from sugarwright.bench.boiling_now import BoilingNow
    from sugarwright.saying.words import Words
    from sugarwright.twin.report import When

SURE = 0.95
LIKELY = 0.1


def heat_text(found: BoilingNow, system: str) -> str:
    """Return at what the thermometer stands when it is syrup."""
    return show(found.syrup[0].boiling_c, TEMPERATURE, system, digits=1)


def heat_sure_text(found: BoilingNow, system: str) -> str:
    """Return how sure that is, and by what it is known."""
    unit = "°C" if system == "metric" else "°F"
    sure = max(0.1, to_unit(2.0 * found.sd_k, TEMPERATURE_DIFFERENCE, unit))
    water = show(found.water.boiling_c, TEMPERATURE, system, digits=1)
    return (
        f"For {found.syrup[0].brix:.1f} Brix, give or take {sure:.1f} {unit} (19 times in 20). "
        f"Water boils at {water} by {found.water.source}."
    )


def brix_a_degree_text(found: BoilingNow, system: str) -> str:
    """Return what a degree beside the mark means."""
    unit = "°C" if system == "metric" else "°F"
    one_k = 1.0 if system == "metric" else 1.0 / 1.8
    return f"One {unit} less is {one_k / found.syrup[0].k_per_brix:.1f} Brix less."


def next_draw_text(when: When | None, words: Words, now_s: float) -> str:
    """Return when syrup may come next, in a sentence."""
    if when is None or when.probability < LIKELY:
        return "With the feed there is, no draw is in sight before the fire must be let go."
    if when.late_s <= now_s:
        return "Syrup may be drawn any minute: watch the thermometer."
    early, late = words.clock(max(when.early_s, now_s)), words.clock(when.late_s)
    likely = "" if when.probability > SURE else f"; {10 * when.probability:.0f} in 10 that it comes"
    return f"Between {early} and {late}{likely}."


def drawn_text(boil: Boil, words: Words) -> str:
    """Return what was drawn in a boil."""
    if not boil.draws:
        return "Nothing drawn yet."
    count = "1 draw" if len(boil.draws) == 1 else f"{len(boil.draws)} draws"
    text = f"{words.volume(boil.drawn_m3)} in {count}"
    if boil.guessed:
        text += f"; {boil.guessed} without an amount, taken as your usual draw"
    return f"{text}."


def draw_row(draw: Draw, words: Words) -> tuple[str, str, str, str]:
    """Return a draw as a row: clock, amount, Brix, minutes since the one before."""
    volume = "" if draw.volume_m3 is None else show(draw.volume_m3, VOLUME, words.units)
    brix = "" if draw.brix is None else f"{draw.brix:.1f}"
    return words.clock(draw.at_s), volume, brix, f"{draw.since_s / 60.0:.0f} min"
