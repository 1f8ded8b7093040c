"""What a fit leaves to be kept: figures with their spread, as a document for the record.

One form for all that is learnt of the house: the pan, the wood, the membrane. Each figure names the
attribute of the house that it stands for, so that :mod:`sugarwright.learning.as_learnt` needs to
know nothing of how it was found.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sugarwright.errors import InputError, RangeError

FORM = 1


@dataclass(frozen=True)
class Figure:
    """One figure of the house as learnt.

    Parameters
    ----------
    key : path of the attribute in the house: "pan.boil_rate_m3_s"
    value : its median, in SI
    sd : standard deviation, of the natural logarithm if ``of_log``, else in SI
    of_log : whether the spread is that of the logarithm
    described : what the description said when this was learnt; a description that says something
        else by now is newer, and stands
    """

    key: str
    value: float
    sd: float
    of_log: bool
    described: float

    def __post_init__(self) -> None:
        for name in ("value", "sd", "described"):
            if not math.isfinite(getattr(self, name)):
                raise RangeError(f"{self.key} {name}", getattr(self, name), "is no number")
        if self.sd < 0.0:
            raise RangeError(f"{self.key} sd", self.sd, "is no spread", "0 or more")
        if self.of_log and self.value <= 0.0:
            raise RangeError(self.key, self.value, "has no logarithm", "above 0")


@dataclass(frozen=True)
class Kept:
    """What one fit knows.

    Parameters
    ----------
    name : "pan", "wood", "membrane": one history each
    learnt_s : UTC s of the fit
    until_s : UTC s of the last reading that taught it
    readings : how many readings taught it
    figures : what was learnt
    """

    name: str
    learnt_s: int
    until_s: float
    readings: int
    figures: tuple[Figure, ...]

    def figure(self, key: str) -> Figure | None:
        """Return the figure of an attribute, if it was learnt."""
        return next((each for each in self.figures if each.key == key), None)

    def document(self) -> dict[str, Any]:
        """Return it as a document of plain values; more keys may be added beside these."""
        return {"form": FORM, **asdict(self), "figures": [asdict(each) for each in self.figures]}


def kept_of(name: str, document: Mapping[str, Any]) -> Kept:
    """Return what a document says.

    Parameters
    ----------
    name : under which it was kept
    document : as ``Kept.document`` made it; keys that are not known are passed over

    Raises
    ------
    InputError : it is of another form, or says what cannot be
    """
    if document.get("form") != FORM:
        raise _damaged(name, "is of a form that is not known here")
    try:
        figures = tuple(
            Figure(
                str(raw["key"]),
                float(raw["value"]),
                float(raw["sd"]),
                bool(raw["of_log"]),
                float(raw["described"]),
            )
            for raw in document["figures"]
        )
        learnt_s, until_s = int(document["learnt_s"]), float(document["until_s"])
        return Kept(name, learnt_s, until_s, int(document["readings"]), figures)
    except (KeyError, TypeError, ValueError) as problem:
        raise _damaged(name, f"cannot be read ({problem})") from None


def _damaged(name: str, problem: str) -> InputError:
    fix = f"Take it back with `sugarwright learn --undo {name}`, and learn again"
    return InputError(f"what was learnt of the {name}", None, problem, fix=fix)
