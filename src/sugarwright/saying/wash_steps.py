"""The steps of a membrane wash, as a list to tick off: common practice, no source.

The cleaner's label and the membrane maker's instructions rule; the steps say so where it matters.
"""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.plant.house import Membrane
from sugarwright.saying.words import Words
from sugarwright.units import DURATION


@dataclass(frozen=True)
class WashStep:
    """One step.

    Parameters
    ----------
    does : what to do, in a few words
    says : what to mind
    caution : where it can hurt; may be empty
    timer_s : how long it takes; None where nobody waits for a clock
    """

    does: str
    says: str = ""
    caution: str = ""
    timer_s: float | None = None


def wash_steps(membrane: Membrane, permeate_m3: float | None, words: Words) -> tuple[WashStep, ...]:
    """Return the steps of a wash.

    Parameters
    ----------
    membrane : as described
    permeate_m3 : on hand; None where it is not known
    words : of the house
    """
    needs = words.volume(membrane.wash_volume_m3, 0)
    has = (
        ""
        if permeate_m3 is None
        else f" Reckoned on from the log there is about {words.volume(permeate_m3, 0)}."
    )
    short = permeate_m3 is not None and permeate_m3 < membrane.wash_volume_m3
    lack = " That is too little: wait, or wash with less and rinse longer." if short else ""
    rinse_s = membrane.rinse_duration_s
    wash_s = max(membrane.wash_duration_s - 2.0 * rinse_s, 0.5 * membrane.wash_duration_s)
    return (
        WashStep(
            "Stop the membrane and let the pressure go",
            "Gauges at nothing before any cap, hose or housing is opened.",
            "High pressure; wet floor and electricity: ground-fault protection.",
        ),
        WashStep(f"See that there is permeate: {needs} with the rinsing", f"{has}{lack}".strip()),
        WashStep(
            "Goggles, gloves, and the cleaner's label",
            "The label says how much, how warm, how long, and what to do with the water after.",
            "Alkaline and acid cleaners burn eyes and skin. Never mix alkaline, acid and chlorine "
            "cleaners. Water for the eyes within reach.",
        ),
        WashStep(
            "Rinse the sap out with permeate, to waste",
            "Valve wide open, low pressure, until what comes out tastes of nothing.",
            timer_s=rinse_s,
        ),
        WashStep(
            "Warm the wash water, then stir the cleaner in",
            "No warmer than the membrane's maker allows: heat ruins it. Powder into water, never "
            "water onto powder; all dissolved before it runs.",
        ),
        WashStep(
            "Send it round",
            f"Low pressure, valve open. The label's time rules; {words.show(wash_s, DURATION)} is "
            "what your description leaves for it.",
            timer_s=wash_s,
        ),
        WashStep(
            "Rinse with permeate until neutral",
            "A pH strip on what comes out reads as on the permeate itself, at both outlets.",
            "No sap goes through before that: food safety.",
            timer_s=rinse_s,
        ),
        WashStep(
            "Let the wash water go where it may",
            "Not into a stream, a well or near one; what a septic tank takes, your local rules and "
            "the label say.",
        ),
        WashStep(
            "Best moment for a clean-water test",
            "Permeate through it at your usual pressure: log permeate flow, pressure and "
            "temperature. Nothing tells more of how it does.",
        ),
    )
