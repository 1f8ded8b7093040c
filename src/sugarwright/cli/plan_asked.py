"""Questions about a plan: what if something were otherwise, and what now that one was missed."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sugarwright.cli.output import as_json, note, say
from sugarwright.cli.simulate import tell_if_building
from sugarwright.errors import InputError
from sugarwright.plant.house import House

if TYPE_CHECKING:
    from sugarwright.logbook.book import Logbook
    from sugarwright.planning.rule_card import Card
    from sugarwright.planning.suppositions import Grounds
    from sugarwright.planning.weathers import Belief
    from sugarwright.plant.state import Levels
    from sugarwright.weather.hours import HourlyWeather


@dataclass(frozen=True)
class Asked:
    """What a plan is made from, as the command line has it.

    Parameters
    ----------
    house, weather, levels, begin_s, hours, seed, belief, card : of the plan
    book : the sugarhouse's logbook
    """

    house: House
    weather: HourlyWeather
    levels: Levels
    begin_s: int
    hours: int
    seed: int | None
    belief: Belief
    card: Card | None
    book: Logbook

    def grounds(self) -> Grounds:
        """Return them as planning takes them."""
        from sugarwright.planning.suppositions import Grounds
        from sugarwright.plant.assemble import assemble

        plant = assemble(self.house)
        return Grounds(plant, self.weather, self.levels, self.begin_s, self.belief)


def print_what_if(asked: Asked, texts: list[str], *, as_document: bool) -> None:
    """Plan as things are and as they are supposed to be; print both side by side.

    Raises
    ------
    InputError : a supposition is not understood, or cannot be
    """
    from sugarwright.planning.if_words import Today, read_if

    today = Today(asked.house, asked.begin_s, asked.begin_s + asked.hours * 3600)
    supposed = tuple((text, read_if(text, today)) for text in texts)

    from sugarwright.cli.plan_what_if_text import what_if_lines
    from sugarwright.planning.plan_store import plan_before
    from sugarwright.planning.what_if import what_if

    _tell(f"planning {len(supposed) + 1} times: about a thousand plans each, in eight weathers")
    found = what_if(
        asked.grounds(), supposed, asked.hours, asked.seed, None,
        plan_before(asked.book.plans, asked.house, asked.begin_s), asked.card,
    )  # fmt: skip
    say(*([as_json(found)] if as_document else what_if_lines(found)))


def print_missed(asked: Asked, text: str, *, keep: bool, as_document: bool) -> None:
    """Say what it costs that an action of the kept plan was missed, and plan from now on.

    Raises
    ------
    InputError : no plan is kept, or it has no such action that is due
    """
    from sugarwright.planning.plan_store import plan_in_force

    kept = plan_in_force(asked.book.plans, asked.house, asked.begin_s)
    if kept is None:
        raise InputError(
            "--missed", text, "no plan of the last two days is kept for this house",
            fix="Plan without it: what you tell of the tanks says the rest",
        )  # fmt: skip

    from sugarwright.cli.plan_missed_text import missed_lines
    from sugarwright.cli.plan_print import keep_as_issued
    from sugarwright.planning.missed import find_missed, plan_after

    action = find_missed(kept, text, asked.begin_s, asked.house.site.timezone)
    _tell("planning: about a thousand plans, each in eight weathers")
    missed, planned = plan_after(
        asked.grounds(), kept, action, asked.hours, asked.seed, None, asked.card
    )
    if keep:
        keep_as_issued(asked.book, asked.house, missed.plan, planned.state)
    say(*([as_json(missed)] if as_document else missed_lines(missed)))


def _tell(text: str) -> None:
    tell_if_building()
    if sys.stderr.isatty():
        note(text)
