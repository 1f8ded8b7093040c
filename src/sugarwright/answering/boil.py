"""The boil under way: its fire, its draws, when to stoke, and at what heat to draw."""

from __future__ import annotations

from collections.abc import Sequence

from sugarwright.bench.boil import Boil, Draw
from sugarwright.bench.boiling_now import BoilingNow, boiling_now
from sugarwright.bench.water_point import from_boiling_water, from_elevation
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import House
from sugarwright.twin.report import NowReport

LOOK_BACK_S = 36 * 3600.0
"""So far back a fire may have been lit that still burns, or of which one wants to see the draws."""


def boil_of(house: House, entries: Sequence[Entry], standing: NowReport | None) -> Boil:
    """Return the last boil.

    Parameters
    ----------
    house : as learnt
    entries : of the last day and a half, those that stand, the oldest first
    standing : where everything stands; it doubts a fire of which nobody says anything any more
    """
    lit = _last(entries, "fire_lit")
    if lit is None:
        return Boil(False, None, None, None, None, (), 0.0, 0)
    since = [each for each in entries if each.at_s >= lit.at_s]
    out = _last(since, "fire_out")
    burns = out is None and not _is_doubted(standing, lit)
    stoked = _last(since, "stoke") or lit
    draws = tuple(_draws(since, lit.at_s))
    guessed = sum(each.volume_m3 is None for each in draws)
    told_m3 = sum(each.volume_m3 or 0.0 for each in draws)
    return Boil(
        burns,
        lit.at_s,
        None if out is None else out.at_s,
        stoked.at_s if burns else None,
        stoked.at_s + house.fire.stoke_every_s if burns else None,
        draws,
        told_m3 + guessed * house.pan.draw_volume_m3,
        guessed,
    )


def said_out(entries: Sequence[Entry], standing: NowReport) -> bool:
    """Tell whether the log says by now that a fire is out, of which a standing did not know."""
    word_s = standing.pan.word_s
    out = _last(entries, "fire_out")
    return out is not None and (word_s is None or out.at_s >= word_s)


def _is_doubted(standing: NowReport | None, lit: Entry) -> bool:
    if standing is None or standing.pan.lit_s != lit.at_s:
        return False
    return standing.pan.fire_probability <= 0.5


def _last(entries: Sequence[Entry], kind: str) -> Entry | None:
    return next((each for each in reversed(entries) if each.kind == kind), None)


def _draws(entries: Sequence[Entry], lit_s: float) -> list[Draw]:
    found, before_s = [], lit_s
    for each in entries:
        if each.kind == "draw":
            volume_m3, brix = each.value("volume"), each.value("brix")
            found.append(Draw(each.at_s, volume_m3, brix, each.at_s - before_s))
            before_s = each.at_s
    return found


def draw_heat(house: House, water_boils_c: float | None) -> BoilingNow:
    """Return at what heat syrup of the house's strength boils today.

    Parameters
    ----------
    house : as described
    water_boils_c : what the thermometer of the pan showed in boiling water [°C]; None: not tried
        today, and the elevation must do

    Raises
    ------
    RangeError : water boils so nowhere that syrup is made
    """
    if water_boils_c is None:
        water = from_elevation(house.site.elevation_m)
    else:
        water = from_boiling_water(water_boils_c)
    return boiling_now(water, (house.pan.finish_brix,))
