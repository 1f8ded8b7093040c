"""The course of a membrane's condition: a lasting part, and what fouling takes and washes bring.

    condition = lasting x reversible
    ln lasting    = level - fall x days to the last entry before today's
    ln reversible falls by the same amount each hour of running (as the plant has it)
    a rinse or a wash: reversible += recovery (1 - reversible)

A wash may do more or less than washes do; so may a rinse. Everything is smooth in its parameters,
which are chosen so that any real number is allowed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sugarwright.learning.membrane_log import Step

Floats = NDArray[np.float64]

DAY_S = 86400.0
LEVEL, FALL, LOSS, WASH, RINSE, BEGIN = range(6)
"""Places of the parameters: ln of the lasting condition at the end; its fall a day; ln of the loss
an hour; logits of what washes and rinses bring back; ln of what fouling had taken before the
begin. After them one for each wash and rinse: how far its own logit is from that, in units of
``EACH_SD``."""
FIXED = 6
EACH_SD = 0.5
"""Of the logit of one wash or rinse about what washes or rinses do (judgement: 0.9 by 0.05)."""
_STEP = 1e-5


@dataclass(frozen=True)
class Course:
    """What happened to a membrane, ready to be followed.

    Parameters
    ----------
    steps : in order of time
    end_s : UTC s at which the level is meant
    """

    steps: tuple[Step, ...]
    end_s: float
    cleanings: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        places = [at for at, step in enumerate(self.steps) if step.what in ("wash", "rinse")]
        object.__setattr__(self, "cleanings", tuple(places))

    @property
    def size(self) -> int:
        """Count the parameters."""
        return FIXED + len(self.cleanings)

    @property
    def read(self) -> int:
        """Count the readings."""
        return sum(step.what == "read" for step in self.steps)

    def follow(self, parameters: Floats) -> tuple[Floats, Floats]:
        """Follow several sets of parameters at once.

        Parameters
        ----------
        parameters : (size, sets)

        Returns
        -------
        (readings, sets), ln of the condition at each reading; (steps, sets), ln of its reversible
        part after each step
        """
        loss, begin = np.exp(parameters[LOSS]), np.exp(parameters[BEGIN])
        state = -begin
        at_reading: list[Floats] = []
        states = np.empty((len(self.steps), parameters.shape[1]))
        own = FIXED
        for place, step in enumerate(self.steps):
            if step.what == "run":
                state = state - loss * step.hours_h
            elif step.what == "read":
                days = (self.end_s - step.at_s) / DAY_S
                at_reading.append(parameters[LEVEL] + parameters[FALL] * days + state)
            else:
                usual = parameters[WASH if step.what == "wash" else RINSE]
                recovery = logistic(usual + EACH_SD * parameters[own])
                left = np.exp(state)
                state = np.log(left + recovery * (1.0 - left))
                own += 1
            states[place] = state
        seen = np.array(at_reading).reshape(len(at_reading), parameters.shape[1])
        return seen, states

    def with_slopes(self, parameters: Floats) -> tuple[Floats, Floats, Floats]:
        """Follow one set of parameters; return readings, their slopes (readings, size), states."""
        sets = parameters[:, np.newaxis] + _STEP * np.eye(self.size, self.size + 1)
        seen, states = self.follow(sets)
        slopes: Floats = (seen[:, :-1] - seen[:, -1:]) / _STEP
        return seen[:, -1], slopes, states[:, -1]


def logistic(x: Floats) -> Floats:
    """Return the share whose logit is given."""
    share: Floats = 1.0 / (1.0 + np.exp(-x))
    return share


def logit(share_fraction: float) -> float:
    """Return the logit of a share."""
    return math.log(share_fraction / (1.0 - share_fraction))
