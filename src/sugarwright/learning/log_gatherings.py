"""Gatherings from the logbook, each with the gathering point that it came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sugarwright.learning.gathering_file import Came, with_begins
from sugarwright.learning.gatherings import Gathering, ready_to_learn
from sugarwright.logbook.catalogue import GATHERING
from sugarwright.logbook.entry import Entry
from sugarwright.plant.drive import tapped_s
from sugarwright.plant.house import House

WHOLE_HOUSE = ""
FLAGS = frozenset({"ice", "overflow", "not_emptied"})


@dataclass(frozen=True)
class PointGatherings:
    """One season's gatherings of one point.

    Parameters
    ----------
    point : name of the ``[[gathering]]``; empty: of the whole house, into the sap tank
    tapped_s : UTC s; None where unknown: the first gathering then only starts the clock
    gatherings : with their begins and flags, in order
    """

    point: str
    tapped_s: float | None
    gatherings: tuple[Gathering, ...]


def seasons_of(
    house: House, entries: Sequence[Entry]
) -> tuple[dict[int, list[PointGatherings]], list[str]]:
    """Return each season's gatherings by point, and what could not be used.

    Parameters
    ----------
    house : its points and taps
    entries : that stand, in any order
    """
    ordered = sorted(entries, key=lambda each: (each.at_s, each.key))
    came: dict[int, dict[str, list[Came]]] = {}
    unknown: set[str] = set()
    for entry in ordered:
        if entry.kind != "gather" or "doubtful" in entry.flags:
            continue
        point = entry.place.removeprefix(GATHERING) if entry.place.startswith(GATHERING) else ""
        taps = taps_of(house, point)
        volume = entry.value("volume")
        if taps is None or volume is None or volume < 0.0:
            unknown.add(point if taps is None else "")
            continue
        brix = entry.value("brix")
        believed = brix if brix is not None and 0.2 <= brix <= 12.0 else None
        flags = frozenset(entry.flags) & FLAGS
        year = datetime.fromtimestamp(entry.at_s, UTC).year
        points = came.setdefault(year, {})
        points.setdefault(point, []).append(Came(entry.at_s, volume, taps, flags, believed))
    notes = [f'"{name}" is no gathering of sugarhouse.toml' for name in sorted(unknown - {""})]
    if "" in unknown:
        notes.append("gatherings without a volume were left out")
    return {
        year: [_point(house, ordered, year, point, each) for point, each in sorted(points.items())]
        for year, points in sorted(came.items())
    }, notes


def taps_of(house: House, point: str) -> float | None:
    """Return the taps of a point, of all of them for the whole house; None if there is none."""
    found = [each.taps for each in house.gathering if point in (WHOLE_HOUSE, each.name)]
    return float(max(sum(found), 1)) if found else None


def _point(
    house: House, entries: Sequence[Entry], year: int, point: str, came: Sequence[Came]
) -> PointGatherings:
    tapping_s = _tapped_s(house, entries, year, point)
    # Two entries of one instant are one gathering in two loads.
    merged: list[Came] = []
    for each in came:
        joins = bool(merged) and each.end_s <= merged[-1].end_s
        merged.append(_joined(merged.pop(), each) if joins else each)
    gatherings = with_begins(merged, tapping_s, taps_of(house, point) or 1.0)
    return PointGatherings(point, tapping_s, tuple(gatherings))


def _joined(first: Came, second: Came) -> Came:
    volume_m3, flags = first.volume_m3 + second.volume_m3, first.flags | second.flags
    return Came(second.end_s, volume_m3, second.taps, flags, second.brix or first.brix)


def _tapped_s(house: House, entries: Sequence[Entry], year: int, point: str) -> float | None:
    """Return when the taps of a point were set: by the log, else by the description."""
    set_s = [
        each.at_s
        for each in entries
        if each.kind == "tapped"
        and each.place in ("", GATHERING + point)
        and datetime.fromtimestamp(each.at_s, UTC).year == year
    ]
    if set_s:
        return max(set_s)
    return tapped_s(house) if house.trees.tapped.year == year else None


def together(points: Sequence[PointGatherings]) -> list[Gathering]:
    """Return the gatherings of all points in order of time, what was not emptied joined."""
    ready = [each for point in points for each in ready_to_learn(point.gatherings)[0]]
    return sorted(ready, key=lambda each: (each.end_s, each.begin_s))


def first_tapped_s(points: Sequence[PointGatherings]) -> float | None:
    """Return when the first taps of a season were set, if that is known of any point."""
    known = [each.tapped_s for each in points if each.tapped_s is not None]
    return min(known) if known else None
