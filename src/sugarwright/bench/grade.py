"""The colour class of syrup from how much light it lets through."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.bench.uncertainty import share_below
from sugarwright.errors import RangeError

SOURCE = (
    "USDA, United States Standards for Grades of Maple Syrup, effective March 2, 2015; the same "
    "limits in the Canadian Grade Compendium, volume 7: light of 560 nm through 10 mm, glycerol "
    "being 100 %"
)
CLASSES = (
    (75.0, "Golden", "delicate taste"),
    (50.0, "Amber", "rich taste"),
    (25.0, "Dark", "robust taste"),
    (0.0, "Very Dark", "strong taste"),
)
"""Least transmittance [%], name of the class, and the taste that goes with it."""
TRANSMITTANCE_SD = 1.0
"""A hand-held grading instrument, in points of the percentage; a judgement."""


@dataclass(frozen=True)
class Grade:
    """The colour class of syrup.

    Parameters
    ----------
    transmittance_fraction, sd_fraction : light let through, with its standard deviation [0-1]
    colour, taste : the class; taste and flaws are for a person to judge
    sure_fraction : chance that it is this class [0-1]
    neighbour : the class that it may be as well; None when this one is sure (19 in 20)
    source : of the limits
    """

    transmittance_fraction: float
    sd_fraction: float
    colour: str
    taste: str
    sure_fraction: float
    neighbour: str | None
    source: str


def grade(transmittance_fraction: float, sd_fraction: float = TRANSMITTANCE_SD / 100.0) -> Grade:
    """Return the colour class.

    Parameters
    ----------
    transmittance_fraction : of light of 560 nm through 10 mm of syrup, against glycerol [0-1]
    sd_fraction : its standard deviation [0-1]

    Raises
    ------
    RangeError : a transmittance that cannot be

    Notes
    -----
    The standards print the classes to a tenth of a percent (50.0 to 74.9), so a reading is rounded
    to that first.

    >>> grade(0.62).colour
    'Amber'
    """
    if not 0.0 <= transmittance_fraction <= 1.0:
        shown = f"{100.0 * transmittance_fraction:g} %"
        raise RangeError("light", shown, "no syrup lets so much light through", "0 to 100 %")
    percent = round(100.0 * transmittance_fraction, 1)
    place = next(i for i, (least, _, _) in enumerate(CLASSES) if percent >= least)
    least, colour, taste = CLASSES[place]
    sd = 100.0 * sd_fraction
    below = share_below(least, percent, sd) if least > 0.0 else 0.0
    above = 1.0 - share_below(CLASSES[place - 1][0], percent, sd) if place > 0 else 0.0
    neighbour = None
    if below + above > 0.05:
        neighbour = CLASSES[place + 1 if below > above else place - 1][1]
    return Grade(
        transmittance_fraction, sd_fraction, colour, taste, 1.0 - below - above, neighbour, SOURCE
    )
