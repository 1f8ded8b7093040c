"""How everything stands and may stand, as curves of plain numbers: kept, and read off later."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sugarwright.twin.report import Band, Telling, When

Floats = NDArray[np.float64]

SERVES_S = 24 * 3600.0  # for so long after it was made an outlook answers, if nothing new is logged


@dataclass(frozen=True, eq=False)
class Outlook:
    """Curves from now on, and what is said beside them.

    Parameters
    ----------
    times_s : UTC s of the curves' points
    curves : (times, 3) 5, 50, 95 percentiles by name ("sap.volume_m3", "pan.brix" ...); of chances
        (times,)
    whens : what comes when, by name ("sap.full", "stock.spoiled", "membrane.stops" ...)
    telling : which readings would tell most
    """

    times_s: Floats
    curves: Mapping[str, Floats]
    whens: Mapping[str, When]
    telling: tuple[Telling, ...]

    def band(self, name: str, time_s: float) -> Band:
        """Return a curve's band at a time."""
        curve = self.curves[name]
        return Band(*(float(np.interp(time_s, self.times_s, curve[:, k])) for k in range(3)))

    def chance(self, name: str, time_s: float) -> float:
        """Return a chance at a time."""
        return float(np.interp(time_s, self.times_s, self.curves[name]))

    def to_json(self) -> dict[str, Any]:
        """Return it as what JSON can hold."""
        return {
            "times_s": self.times_s.tolist(),
            "curves": {
                name: [[float(f"{v:.6g}") for v in np.atleast_1d(row)] for row in curve]
                for name, curve in self.curves.items()
            },
            "whens": {name: asdict(when) for name, when in self.whens.items()},
            "telling": [asdict(each) for each in self.telling],
        }

    @classmethod
    def of_json(cls, raw: Mapping[str, Any]) -> Outlook:
        """Return what :meth:`to_json` made."""
        curves = {name: np.array(curve) for name, curve in raw["curves"].items()}
        return cls(
            np.array(raw["times_s"]),
            {name: c[:, 0] if c.shape[1] == 1 else c for name, c in curves.items()},
            {name: When(**each) for name, each in raw["whens"].items()},
            tuple(Telling(**each) for each in raw["telling"]),
        )


def outlook_bytes(outlook: Outlook, beside: Mapping[str, Any]) -> bytes:
    """Put an outlook, and what is kept beside it, into bytes."""
    return json.dumps({"outlook": outlook.to_json(), **beside}).encode()


def read_outlook(blob: bytes) -> tuple[Outlook, dict[str, Any]] | None:
    """Return what :func:`outlook_bytes` made; None where it is damaged."""
    try:
        raw = json.loads(blob)
        return Outlook.of_json(raw["outlook"]), raw
    except (ValueError, KeyError, TypeError, IndexError):
        return None
