"""Put together what is said of now, from curves and from what the filter remembers of the log.

Needs no plant and no compiled code, so that an answer that is kept is told at once.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sugarwright.logbook.meaning import tank_at
from sugarwright.plant.house import House
from sugarwright.plant.house_membrane import Membrane
from sugarwright.plant.pan_kernel import SAFE_HEAT_FRACTION
from sugarwright.plant.tanks import capacity_m3
from sugarwright.twin.curves import Outlook
from sugarwright.twin.doubt import Doubt
from sugarwright.twin.marks import HOT, PAN_READ
from sugarwright.twin.report import (
    Band,
    Departure,
    LastRead,
    MembraneNow,
    NowReport,
    PanNow,
    TankNow,
    When,
)

HORIZON_S = 48 * 3600.0
DOUBTS_TOLD_S = 2 * 86400.0
UNRINSED_TOLD_S = 12 * 3600.0  # later it was surely seen to
UNLOGGED_TOLD_S = 2 * 3600.0  # where rinses are never logged
_DAY_S = 86400.0


@dataclass(frozen=True)
class Remembered:
    """What the filter remembers of the log, as plain values.

    Parameters
    ----------
    entries, first_s, last_s : how many it followed, and when
    seen : (place, quantity, at_s, value, measured, typed) of each last believed reading
    doubts : questioned readings
    words : last time of each kind of deed
    flow_m3_s : concentrate setting
    source, known_s, cautions : of the weather
    departures : from the plan
    astray : sensors that are not believed at the time
    """

    entries: int
    first_s: float | None
    last_s: float | None
    seen: tuple[tuple[str, str, float, float, str, str], ...]
    doubts: tuple[Doubt, ...]
    words: Mapping[str, float]
    flow_m3_s: float
    source: str
    known_s: float | None
    cautions: tuple[str, ...]
    departures: tuple[Departure, ...] = ()
    astray: tuple[str, ...] = ()

    @classmethod
    def of_json(cls, raw: Mapping[str, Any]) -> Remembered:
        """Return it from what ``dataclasses.asdict`` and JSON made of it."""
        return cls(
            raw["entries"],
            raw["first_s"],
            raw["last_s"],
            tuple((r[0], r[1], r[2], r[3], r[4], r[5]) for r in raw["seen"]),
            tuple(Doubt(**{**d, "measured": tuple(d["measured"])}) for d in raw["doubts"]),
            raw["words"],
            raw["flow_m3_s"],
            raw["source"],
            raw["known_s"],
            tuple(raw["cautions"]),
            tuple(
                Departure(d["place"], d["volume_m3"], Band(**d["planned_m3"]), d["plan_s"])
                for d in raw["departures"]
            ),
            tuple(raw["astray"]),
        )


def standing(house: House, outlook: Outlook, log: Remembered, now_s: float) -> NowReport:
    """Return how everything stands at a time for which the curves serve."""
    return NowReport(
        house=house.site.name,
        timezone=house.site.timezone,
        units=house.site.units,
        now_s=now_s,
        until_s=now_s + HORIZON_S,
        entries=log.entries,
        first_s=log.first_s,
        last_s=log.last_s,
        tanks=tuple(_tank(house, outlook, log, place, now_s) for place in _places(house)),
        membrane=None if house.membrane is None else _membrane(house.membrane, outlook, log, now_s),
        pan=_pan(house, outlook, log, now_s),
        wood_m3=outlook.band("wood", now_s),
        coming_m3=_coming(outlook, now_s),
        scale=outlook.band("scale", now_s),
        run=outlook.band("run", now_s),
        weather_source=log.source,
        weather_known_s=log.known_s,
        cautions=log.cautions,
        doubts=tuple(d for d in log.doubts if _is_told(d, log, now_s)),
        telling=outlook.telling,
        departures=log.departures,
    )


def _is_told(doubt: Doubt, log: Remembered, now_s: float) -> bool:
    """Doubts are told for some days; the last one of a sensor as long as it is not believed."""
    if doubt.at_s > now_s - DOUBTS_TOLD_S:
        return True
    of_it = [each.key for each in log.doubts if each.sensor and each.sensor == doubt.sensor]
    return doubt.sensor in log.astray and doubt.key == of_it[-1]


def _places(house: House) -> list[str]:
    gathered = [f"gathering:{g.name}" for g in house.gathering if g.tank is not None]
    gathered = [each for each in gathered if _is_own(house, each)]
    behind = ["stock", "permeate"] if house.membrane is not None else []
    return [*gathered, "sap", *behind]


def _is_own(house: House, place: str) -> bool:
    return any(f"gathering:{g.name}" == place and g.way != "gravity" for g in house.gathering)


def _tank(house: House, outlook: Outlook, log: Remembered, place: str, now_s: float) -> TankNow:
    tank = tank_at(house, place)
    return TankNow(
        place=place,
        capacity_m3=0.0 if tank is None else capacity_m3(tank),
        volume_m3=outlook.band(f"{place}.volume_m3", now_s),
        brix=outlook.band(f"{place}.brix", now_s),
        temperature_c=outlook.band(f"{place}.temperature_c", now_s),
        age_s=outlook.band(f"{place}.age_s", now_s),
        life_used=outlook.band(f"{place}.life", now_s),
        full=_soon(outlook, f"{place}.full", now_s),
        empty=_soon(outlook, f"{place}.empty", now_s),
        spoiled=_soon(outlook, f"{place}.spoiled", now_s),
        read=_read(log, place),
    )


def _membrane(described: Membrane, outlook: Outlook, log: Remembered, now_s: float) -> MembraneNow:
    runs = "permeate_m3_s" in outlook.curves
    return MembraneNow(
        on_probability=outlook.chance("membrane.on", now_s),
        flow_m3_s=log.flow_m3_s,
        permeate_m3_s=outlook.band("permeate_m3_s", now_s) if runs else None,
        concentrate_brix=outlook.band("concentrate_brix", now_s) if runs else None,
        condition=outlook.band("membrane.condition", now_s),
        run_since_wash_s=outlook.band("membrane.run_s", now_s),
        stops=_soon(outlook, "membrane.stops", now_s),
        started_s=log.words.get("membrane_on"),
        stopped_s=log.words.get("membrane_off"),
        washed_s=log.words.get("wash"),
        read=_read(log, "membrane"),
        unrinsed_s=_unrinsed_s(log.words, now_s),
        stops_itself=described.low_flow_cutout and described.full_tank_cutout,
    )


def _unrinsed_s(words: Mapping[str, float], now_s: float) -> float | None:
    """When it last stopped, if the log has no rinse since; a house that logs none is asked less."""
    stopped_s = words.get("membrane_off")
    since = [words[each] for each in ("rinse", "wash", "membrane_on") if each in words]
    told_s = UNRINSED_TOLD_S if "rinse" in words else UNLOGGED_TOLD_S
    if stopped_s is None or not stopped_s <= now_s < stopped_s + told_s:
        return None
    return None if any(each >= stopped_s for each in since) else stopped_s


def _pan(house: House, outlook: Outlook, log: Remembered, now_s: float) -> PanNow:
    burns = outlook.chance("fire.on", now_s)
    filled = outlook.chance("pan.filled", now_s)
    dies = burns <= 0.5 and filled > 0.5 and _is_let_go(log.words)
    # By the members in which it was let go last, as late as was told: nobody leaves too soon.
    heat_fraction = min(1.0, outlook.band("fire.heat", now_s).high) if dies else 0.0
    died_s = _died_s(house, heat_fraction, now_s)
    return PanNow(
        fire_probability=burns,
        filled_probability=filled,
        brix=outlook.band("pan.brix", now_s),
        boil_m3_s=outlook.band("boil_m3_s", now_s),
        drawn_m3=outlook.band("pan.drawn_m3", now_s) if burns > 0.5 else None,
        reserve=_soon(outlook, "fire.reserve", now_s),
        next_draw=_soon(outlook, "pan.draw", now_s) if burns > 0.5 else None,
        lit_s=log.words.get("fire_lit"),
        out_s=log.words.get("fire_out"),
        read=_read(log, "pan"),
        feed="sap" if house.membrane is None else "stock",
        reserve_m3=outlook.band("fire.reserve_m3", now_s).middle,
        word_s=_word_of_fire_s(log.words),
        heat_fraction=0.0 if died_s is None else heat_fraction,
        died_s=died_s,
    )


def _is_let_go(words: Mapping[str, float]) -> bool:
    """Tell whether the last word of a fire is that its last wood is on."""
    return "fire_out" in words and _word_of_fire_s(words) is None


def _died_s(house: House, heat_fraction: float, now_s: float) -> float | None:
    """Return until when a dying fire keeps whoever is there, UTC s; None where it may be left."""
    if heat_fraction <= SAFE_HEAT_FRACTION * (1.0 + 1e-9):
        return None
    return now_s + house.pan.burn_down_s * math.log(heat_fraction / SAFE_HEAT_FRACTION)


def _word_of_fire_s(words: Mapping[str, float]) -> float | None:
    """Return the last word of a fire that is not said to be out, UTC s; None without one."""
    told_s = max((words[kind] for kind in HOT if kind in words), default=None)
    if told_s is None or words.get("fire_out", -math.inf) >= told_s:
        return None
    return max(told_s, words.get(PAN_READ, told_s))


def _coming(outlook: Outlook, now_s: float) -> Band:
    """Sap of the next day: what will have come by then, less what has come by now."""
    now, later = outlook.band("come", now_s), outlook.band("come", now_s + _DAY_S)
    return Band(*(max(0.0, getattr(later, k) - getattr(now, k)) for k in ("low", "middle", "high")))


def _soon(outlook: Outlook, name: str, now_s: float) -> When | None:
    found = outlook.whens.get(name)
    return None if found is None or found.early_s > now_s + HORIZON_S else found


def _read(log: Remembered, place: str) -> tuple[LastRead, ...]:
    return tuple(
        LastRead(row[1], row[2], row[4], row[3], row[5]) for row in log.seen if row[0] == place
    )
