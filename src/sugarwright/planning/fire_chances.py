"""How likely it comes to each fire of a day, in the weathers that the plan is checked in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sugarwright.planning.action import Action
from sugarwright.plant.tank_kernel import Floats

LIKELY = 7  # of 10 weathers: a fire that fewer have is told with how likely it is (judgement)
LIT = ("light the fire", "light the fire again", "fire at need")


def is_likely(light_ups: Floats) -> bool:
    """Tell whether it comes to a fire of a day in so many weathers that it is told as any other.

    Parameters
    ----------
    light_ups : fires lit on that day, in each weather
    """
    return round(10.0 * float((light_ups > 0.5).mean())) >= LIKELY


def with_chances(actions: Sequence[Action], light_ups: Floats) -> list[Action]:
    """Return a day's actions, each fire that is to be lit, and its end, with how likely it is.

    The second of a day is as likely as it is that two are lit, and so on.

    Parameters
    ----------
    actions : of the day, in order of time
    light_ups : fires lit on that day, in each weather
    """
    return list(_with_chances(actions, light_ups))


def _with_chances(actions: Sequence[Action], light_ups: Floats) -> Iterator[Action]:
    count, probability = 0, None
    for action in actions:
        if action.kind in LIT:
            count += 1
            probability = float((light_ups > count - 0.5).mean())
            yield replace(action, probability=probability)
        elif action.kind == "keep the fire":
            probability = None
            yield action
        elif action.kind == "let the fire go":
            yield replace(action, probability=probability)
        else:
            yield action
