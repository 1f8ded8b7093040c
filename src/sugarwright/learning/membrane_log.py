"""What the logbook says of the membrane, in order: hours run, readings, rinses, washes, tests.

Only what stands since the newest element was put in counts, and at most some weeks of it: over that
time the lasting fall is taken as steady.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.learning.remarks import Remark
from sugarwright.logbook.catalogue import usual_sd
from sugarwright.logbook.entry import Entry
from sugarwright.plant.house import Habit, House

WINDOW_S = 28 * 86400.0
"""How far back readings are looked at: the fall is taken as steady over them (judgement)."""
CARRIED_S = 12 * 3600.0
"""How long a setting, a strength or a temperature that was read once stands (judgement)."""
IDLE_S = 4 * 3600.0
"""Two signs of running further apart than that are two runs, if nobody wrote it off (judgement)."""

_RUNNING = ("reading", "membrane_on", "setpoint", "membrane_off")
_NEEDED = ("temperature", "pressure", "concentrate_flow", "feed_brix")
OUTPUTS = ("permeate_flow", "concentrate_brix")
"""What tells of the condition: how much water came through, or how strong it left the rest."""
_SAP = {"brix": "feed_brix", "temperature": "temperature"}  # of the sap tank, for the membrane
_PRESSURE_SD_PA = 0.5e5  # of a gauge that nobody read: the house's own setting (judgement)
_FLOW_SD_FRACTION = 0.15  # of a valve that nobody read, or a test's (judgement)
_BRIX_SD = 0.3  # of sap that nobody tested: as it differs from the house's usual (judgement)


@dataclass(frozen=True)
class Input:
    """One number that a reading of the membrane stands on.

    Parameters
    ----------
    value, sd : in SI
    carried : it was read once and stands for several readings, so that its error is theirs alike
    """

    value: float
    sd: float
    carried: bool = False


@dataclass(frozen=True)
class Reading:
    """One moment at which the membrane told how much it lets through.

    Parameters
    ----------
    key : of the entry
    at_s : UTC s
    clean_water : with permeate instead of sap
    inputs : by the names of ``logbook.catalogue``: temperature, pressure, concentrate_flow,
        feed_brix, and one of permeate_flow and concentrate_brix, or both
    """

    key: str
    at_s: float
    clean_water: bool
    inputs: dict[str, Input]


@dataclass(frozen=True)
class Step:
    """One step of the membrane's course.

    Parameters
    ----------
    what : "run", "read", "wash" or "rinse"
    at_s : UTC s, of a run its end
    hours_h : run
    reading : place among the readings, of "read"
    """

    what: str
    at_s: float
    hours_h: float = 0.0
    reading: int = -1


@dataclass(frozen=True)
class MembraneLog:
    """The course of a membrane as logged.

    Parameters
    ----------
    steps : in order of time
    readings : in order of time
    left_out : entries that say too little, and why
    since_new : whether the course begins with a new element
    begin_s, end_s : UTC s of its first and last entry
    """

    steps: tuple[Step, ...]
    readings: tuple[Reading, ...]
    left_out: tuple[Remark, ...]
    since_new: bool
    begin_s: float
    end_s: float

    @property
    def run_h(self) -> float:
        """Hours run."""
        return self.run_until_h(self.end_s)

    def run_until_h(self, until_s: float, since_s: float = 0.0) -> float:
        """Return the hours run between two instants, by the ends of their stretches."""
        return sum(step.hours_h for step in self.steps if since_s < step.at_s <= until_s)

    def count(self, what: str) -> int:
        """Count the steps of a kind."""
        return sum(step.what == what for step in self.steps)


def membrane_log(entries: Sequence[Entry], house: House) -> MembraneLog:
    """Put entries in order as the course of a membrane.

    Parameters
    ----------
    entries : that stand, of any kind, in any order
    house : for what nobody read: the pressure it is run at, the valve, the usual sap
    """
    known = sorted(
        (each for each in entries if _concerns(each)), key=lambda each: (each.at_s, each.made_s)
    )
    of_membrane = [each for each in known if each.place in ("membrane", "")]
    if not of_membrane:
        return MembraneLog((), (), (), False, 0.0, 0.0)
    end_s = of_membrane[-1].at_s
    new_s = max((each.at_s for each in known if each.kind == "new_membrane"), default=None)
    begin_s = end_s - WINDOW_S
    since_new = new_s is not None and new_s >= begin_s
    if new_s is not None and since_new:
        begin_s = new_s
    reader = _Reader(house)
    for entry in known:
        if entry.at_s >= begin_s:
            reader.take(entry)
        else:
            reader.remember(entry)
    first_s = next(each.at_s for each in of_membrane if each.at_s >= begin_s)
    return MembraneLog(
        tuple(reader.steps),
        tuple(reader.readings),
        tuple(reader.left_out),
        since_new,
        first_s,
        end_s,
    )


def _concerns(entry: Entry) -> bool:
    if entry.kind in ("rinse", "wash", "clean_water_test", "new_membrane"):
        return True
    if entry.kind == "reading" and entry.place == "sap":
        return any(entry.measure(quantity) for quantity in _SAP)
    return entry.kind in _RUNNING and entry.place in ("membrane", "")


class _Reader:
    """Goes through entries in order of time and remembers what was read last."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.steps: list[Step] = []
        self.readings: list[Reading] = []
        self.left_out: list[Remark] = []
        self._last: dict[str, tuple[float, Input]] = {}
        self._running_s: float | None = None  # until when it is known to have run

    def take(self, entry: Entry) -> None:
        """Go on to an entry."""
        if entry.place == "sap":
            self.remember(entry)
            return
        if entry.kind in ("rinse", "wash"):
            self._running_s = None
            self.steps.append(Step(entry.kind, entry.at_s))
            return
        if entry.kind == "new_membrane":
            self._running_s = None
            return
        if entry.kind == "clean_water_test":
            self._read(entry, clean_water=True)
            return
        self._run(entry)
        self.remember(entry)
        self._read(entry, clean_water=False)

    def remember(self, entry: Entry) -> None:
        """Keep what was read, for readings soon after that do not say it."""
        if entry.kind == "clean_water_test":
            return  # of water, not of sap
        for measure in entry.measures:
            quantity = measure.quantity
            if entry.place == "sap":
                quantity = _SAP.get(quantity, "")
            if quantity in _NEEDED:
                found = _input(quantity, measure.value, measure.sd, measure.instrument)
                self._last[quantity] = (entry.at_s, found)

    def _run(self, entry: Entry) -> None:
        """Add the time run up to an entry."""
        before_s = self._running_s
        gap_known = entry.kind == "membrane_off"  # it was on all the time, however long ago
        if before_s is not None and entry.kind != "membrane_on":
            gap_s = entry.at_s - before_s
            if gap_known or gap_s <= IDLE_S:
                self.steps.append(Step("run", entry.at_s, gap_s / 3600.0))
        running = entry.kind != "membrane_off" and (
            entry.kind != "reading" or entry.measure("permeate_flow") is not None
        )
        self._running_s = entry.at_s if running else None

    def _read(self, entry: Entry, *, clean_water: bool) -> None:
        told = {
            each.quantity: _input(each.quantity, each.value, each.sd, each.instrument)
            for each in entry.measures
        }
        if not clean_water and "permeate_flow" not in told and "concentrate_brix" not in told:
            return  # it says nothing of the membrane's condition, and was not meant to
        inputs, lacking = self._inputs(entry, told, clean_water=clean_water)
        if lacking:
            self.left_out.append(Remark(entry.at_s, lacking))
            return
        self.steps.append(Step("read", entry.at_s, reading=len(self.readings)))
        self.readings.append(Reading(entry.key, entry.at_s, clean_water, inputs))

    def _inputs(
        self, entry: Entry, told: dict[str, Input], *, clean_water: bool
    ) -> tuple[dict[str, Input], str]:
        found = {name: told[name] for name in OUTPUTS if name in told}
        lacking = ""
        for quantity in _NEEDED:
            if clean_water and quantity == "feed_brix":
                found[quantity] = Input(0.0, 0.0)
            elif quantity in told:
                found[quantity] = told[quantity]
            elif (value := self._not_read(quantity, entry, clean_water=clean_water)) is not None:
                found[quantity] = value
            else:
                lacking = f"no {quantity.replace('_', ' ')} was read"
        if clean_water:
            found.pop("concentrate_brix", None)
            if "permeate_flow" not in found:
                lacking = "no permeate flow was read"
        return found, lacking

    def _not_read(self, quantity: str, entry: Entry, *, clean_water: bool) -> Input | None:
        """Return what stands for a quantity that an entry does not say, or None if nothing does."""
        membrane, habit = self.house.membrane, self.house.habit
        if not clean_water and quantity in self._last:
            at_s, value = self._last[quantity]
            if entry.at_s - at_s <= CARRIED_S:
                return Input(value.value, value.sd, carried=True)
        if quantity == "concentrate_flow":
            return _usual_flow(habit)
        if clean_water or membrane is None:
            return None
        if quantity == "pressure":
            return Input(membrane.exit_pressure_pa, _PRESSURE_SD_PA, carried=True)
        if quantity == "feed_brix":
            return Input(self.house.trees.sap_brix, _BRIX_SD, carried=True)
        return None


def _usual_flow(habit: Habit) -> Input:
    flow_m3_s = habit.concentrate_flow_m3_s
    return Input(flow_m3_s, _FLOW_SD_FRACTION * flow_m3_s, carried=True)


def _input(quantity: str, value: float, sd: float | None, instrument: str) -> Input:
    usual = usual_sd(quantity, value, instrument) if sd is None else sd
    return Input(value, 0.0 if usual is None else usual)
