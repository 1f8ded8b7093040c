"""How often the season's 80 % ranges hold what comes: a perfect-model test.

    python benchmarks/season_coverage.py

Each truth is a generated spring with trees and runs of its own. Up to a day its hours are measured;
the outlook, made with other seeds, then says what is still to run, and when the end comes. Nothing
here tells how good the model is of real trees; it tells whether springs are put together, and
states carried, without making the ranges too narrow or too wide.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime

from invented_house import TOML
from sugarwright.planning.season_outlook import Asked, season_outlook
from sugarwright.planning.season_report import SeasonOutlook
from sugarwright.planning.season_trees import Bush, make_bush, season_trees
from sugarwright.planning.season_weather import PossibleSprings, possible_springs
from sugarwright.plant.drive import tree_parameters
from sugarwright.plant.read_house import parse_house
from sugarwright.weather.seasons import Springs, generate, guess_normals

TRUTHS, SPRINGS = 100, 100
HOUSE = parse_house(TOML)
PLACE = guess_normals(42.6, -72.9, 350.0, -5)
DAYS = (date(2015, 3, 10), date(2015, 3, 25), date(2015, 4, 8))


def springs_of(count: int, seed: int) -> Springs:
    """Generate springs of the place."""
    return generate(PLACE, count, seed, date(2015, 1, 1), date(2015, 5, 31))


def look(bush: Bush, now_s: int) -> SeasonOutlook:
    """Return the outlook from an instant on."""
    return season_outlook(bush, Asked(now_s, (), 0, None, ""))


def main() -> None:
    """Print in how many truths the range held them, with the spread that chance alone gives."""
    truths, guesses = springs_of(TRUTHS, 1001), springs_of(SPRINGS, 1)
    base = tree_parameters(HOUSE.trees)
    own = make_bush(
        HOUSE,
        PossibleSprings(truths.first_s, truths.temperature_c, None, None, "", ()),
        season_trees(base, None, TRUTHS, 1001),
        1001,
    )
    trees = season_trees(base, None, SPRINGS, 1)
    chance = 2.0 * math.sqrt(0.8 * 0.2 / TRUTHS)
    print(f"expected 80 of 100, by chance within {100 * chance:.0f} of that 19 times in 20")
    for day in DAYS:
        now_s = int(datetime(day.year, day.month, day.day, 12, tzinfo=UTC).timestamp())
        held_sap = held_end = 0
        for number in range(TRUTHS):
            one = slice(number, number + 1)
            truth = look(
                replace(
                    own,
                    springs=replace(own.springs, temperature_c=truths.temperature_c[one]),
                    trees=own.trees[one],
                    factors=own.factors[one],
                ),
                now_s,
            )
            made = possible_springs(guesses, [truths.weather(number)], None, now_s, 1, -4.9)
            found = look(make_bush(HOUSE, made, trees, 1), now_s)
            sap = truth.to_come.sap_m3.middle
            held_sap += found.to_come.sap_m3.low <= sap <= found.to_come.sap_m3.high
            end, range_ = truth.end.middle_s or 0, found.end
            held_end += (range_.low_s or 0) <= end <= (range_.high_s or math.inf)
        print(f"{day}: still to run {held_sap} of {TRUTHS}, end {held_end} of {TRUTHS}")


if __name__ == "__main__":
    main()
