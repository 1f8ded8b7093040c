"""Write the demo's invented half season of log, as two invented people would have noted it.

    python scripts/demo_log.py > src/sugarwright/demo/log.csv

Ines and Tobias are made up, as is all they write. They read sticks to a quarter inch and
hydrometers to a tenth, forget a round now and then, and make the slips of ``SLIPS``: each is
applied to a line that was right, so that a test can ask whether the ledger finds it.
"""

from __future__ import annotations

import csv
import io
import sys
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

from demo_truth import BOUGHT, LOW_CORNER, SATURDAY, WOOD_BROUGHT, ZONE, Truth, live
from sugarwright.physics.solution import density_kg_m3
from sugarwright.plant import layout as at
from sugarwright.plant.tanks import depth_at_volume_m
from sugarwright.units import FLOW, LENGTH, PRESSURE, TEMPERATURE, VOLUME, WOOD, to_unit

TITLES = ("key", "entered", "time", "who", "what", "replaces")
NAMESPACE = uuid.UUID("2f0a6d60-4a2e-4b39-9c35-8d9d7f4d0b19")
SEED = 19
STICK_M, MARKS, METER, PAIL = 0.004, 0.025, 0.02, 0.012
HYDROMETER_OFF, HYDROMETER_SD, REFRACTOMETER_SD = 0.15, 0.1, 0.06
FORGOTTEN_ROUNDS = 0.07
LEAST_M3 = 0.008  # two gallons: less is not worth a line
CHECKED = (1, 8, 15)  # days of March
LAST_ROUND = datetime(2026, 3, 19, 5, 0, tzinfo=ZONE)


@dataclass(frozen=True)
class Slip:
    """A line that was written wrongly, and that the ledger should find.

    Parameters
    ----------
    kind : as ``ledger.slips`` names it
    when : of the line, local
    right, wrong : how the line should begin, and how it begins
    instead_of : beginning of another line of that round, which is then not written
    """

    kind: str
    when: str
    right: str
    wrong: str
    instead_of: str = ""

    @property
    def key(self) -> str:
        """Key of the entry that is wrong."""
        return _key(f"slip {self.kind}")


SLIPS = (
    Slip("other unit", "2026-03-07 22:14", "upper bush 180 gal", "upper bush 180 L"),
    Slip("read hot", "2026-03-08 22:16", "draw 8.2 gal 66.9", "draw 8.2 gal 60.5"),  # at 185 F
    Slip("digits swapped", "2026-03-09 17:05", "sap 21.5 in", "sap 12.5 in"),
    Slip("wrong tank", "2026-02-28 13:47", "stock 81 gal 4.8", "permeate 81 gal", "permeate 191"),
)
LATE = ("2026-03-15 21:05", "wash", timedelta(hours=8, minutes=50))
"""A line that was entered the next morning only."""
CORRECTED = ("2026-03-08 13:45", "sap 2.75 in", "sap 27.5 in")
"""A line that was entered wrongly first, and set right at once."""


def _key(text: str) -> str:
    return uuid.uuid5(NAMESPACE, text).hex[:12]


@dataclass(frozen=True)
class Line:
    """One line of the log."""

    moment: datetime
    who: str
    what: str
    entered: datetime
    key: str
    replaces: str = ""


@dataclass
class Notebook:
    """What two people write down of the truth, with the errors of their instruments."""

    truth: Truth
    draw: np.random.Generator = field(default_factory=lambda: np.random.default_rng(SEED))
    lines: list[Line] = field(default_factory=list)
    noted: int = 0  # step up to which inflow and syrup are written down

    def write(self, moment: datetime, what: str, who: str = "") -> None:
        """Write a line, entered within some minutes."""
        person = who or self.person(moment)
        entered = moment + timedelta(minutes=int(self.draw.integers(1, 6)))
        key = _key(f"{moment:%m%d%H%M} {what}")
        self.lines.append(Line(moment, person, what, entered, key))

    def person(self, moment: datetime) -> str:
        """Return who is there: Tobias comes at weekends and goes in the evening."""
        weekend = moment.weekday() >= SATURDAY and 9 <= moment.hour < 18
        return "Tobias" if weekend and self.draw.random() < 0.6 else "Ines"

    def about(self, value: float, share: float) -> float:
        """Return a value as an instrument shows it that is so sure."""
        return value * (1.0 + share * float(self.draw.standard_normal()))

    def gallons(self, volume_m3: float, share: float, most_m3: float = 1.0e3) -> str:
        """Return a volume in words, in tenths where that matters; none is more than fits."""
        shown_m3 = min(max(0.0, self.about(volume_m3, share)), most_m3)
        gallons = to_unit(shown_m3, VOLUME, "gal")
        return f"{gallons:.{0 if gallons >= 10 else 1}f} gal"

    def stick(self, volume_m3: float) -> str:
        """Return the sap tank's stick, to a quarter inch."""
        depth_m = depth_at_volume_m(self.truth.told.sap_tank, volume_m3)
        inches = to_unit(depth_m + STICK_M * float(self.draw.standard_normal()), LENGTH, "in")
        return f"{max(0.0, round(4.0 * inches) / 4.0):g} in"

    def brix(self, brix: float, off: float = HYDROMETER_OFF, sd: float = HYDROMETER_SD) -> str:
        """Return a strength, to a tenth."""
        return f"{max(0.0, brix + off + sd * float(self.draw.standard_normal())):.1f}"


def rounds(truth: Truth) -> Iterator[int]:
    """Yield the steps at which somebody goes round with stick and hydrometer."""
    last = truth.step(LAST_ROUND)
    for step in range(last):
        moment = truth.moment(step)
        weekend = moment.weekday() >= SATURDAY
        clock = (moment.hour, moment.minute)
        if clock in (((6, 45), (13, 45), (22, 20)) if weekend else ((5, 50), (17, 5), (22, 20))):
            yield step
    yield last


def go_round(book: Notebook, step: int) -> None:
    """Note what came, what was drawn, and where the tanks stand."""
    truth, draw = book.truth, book.draw
    first = book.noted
    moved = truth.grown(
        first, step, at.SAP_WATER_KG, at.PERMEATE_KG, at.STEAM_KG, at.CLEANING_WATER_KG
    )
    last = step == truth.step(LAST_ROUND)
    if moved < 20.0 or (draw.random() < FORGOTTEN_ROUNDS and not last):
        return
    book.noted = step
    moment = truth.moment(step)
    _came(book, first, step, moment)
    _drawn(book, first, step, moment)
    sap_m3, sap_brix = truth.tank(step, at.SAP)
    stock_m3, stock_brix = truth.tank(step, at.STOCK)
    permeate_m3, _ = truth.tank(step, at.PERMEATE)
    rim_m3 = truth.plant.p[at.PERMEATE_CAPACITY_M3]
    strength = f" {book.brix(sap_brix)}" if sap_m3 > 0.06 else ""
    over = " ran over" if truth.grown(first, step, at.SPILLED_WATER_KG) > 4.0 else ""
    book.write(moment, f"sap {book.stick(sap_m3)}{strength}{over}")
    strength = f" {book.brix(stock_brix)}" if stock_m3 > 0.03 else ""
    level = book.gallons(stock_m3, MARKS) if stock_m3 > 0.004 else "empty"
    book.write(moment + timedelta(minutes=2), f"stock {level}{strength}")
    if permeate_m3 > 0.004:
        level = book.gallons(permeate_m3, MARKS, rim_m3)
        book.write(moment + timedelta(minutes=4), f"permeate {level}")
    if sap_m3 > 0.2 and draw.random() < 0.3:
        shown = book.brix(sap_brix, 0.0, REFRACTOMETER_SD)
        book.write(moment + timedelta(minutes=6), f"sap {shown} refractometer")


def _came(book: Notebook, first: int, step: int, moment: datetime) -> None:
    """Note what the meters at the ends of both lines let through since the last time."""
    truth = book.truth
    kg = truth.drive.sap_kg_s[0].sum(axis=2)
    hours = np.arange(first, step) // round(3600.0 / truth.plant.step_s)
    litres = kg[hours].sum(axis=0) * truth.plant.step_s  # of sap, near enough
    own = at.GATHERED + LOW_CORNER * at.POINT_WIDTH
    waits = truth.states[[first, step], own : own + 2].sum(axis=1)
    litres[LOW_CORNER] -= waits[1] - waits[0]
    for name, came in (("upper bush", litres[0]), ("low corner", litres[LOW_CORNER])):
        if came / 1006.0 > LEAST_M3:
            text = f"{name} {book.gallons(came / 1006.0, METER)} meter"
            book.write(moment - timedelta(minutes=6), text)


def _drawn(book: Notebook, first: int, step: int, moment: datetime) -> None:
    """Note the syrup of the boil, measured in pails when it is cold."""
    truth = book.truth
    sugar = truth.grown(first, step, at.SYRUP_SUGAR_KG)
    mass = sugar + truth.grown(first, step, at.SYRUP_WATER_KG)
    if mass < 1.0:
        return
    brix = 100.0 * sugar / mass
    volume = book.gallons(mass / density_kg_m3(brix, 20.0), PAIL)
    text = f"draw {volume} {book.brix(brix, 0.0, 0.15)}"
    book.write(moment - timedelta(minutes=4), text)


def watch(book: Notebook) -> None:
    """Note starts and stops, washes and rinses, what was thrown away, how the membrane runs."""
    truth = book.truth
    for step in range(1, truth.step(LAST_ROUND)):
        before, after = truth.states[step - 1], truth.states[step]
        moment = truth.moment(step)
        if before[at.MEMBRANE_ON] != after[at.MEMBRANE_ON]:
            on = after[at.MEMBRANE_ON] > 0.0
            book.write(moment, "membrane on 0.18 gal/min" if on else "membrane off")
            if on:
                _running(book, step + 3)
        if before[at.FIRE_ON] != after[at.FIRE_ON]:
            book.write(moment, "lit" if after[at.FIRE_ON] > 0.0 else "fire out")
        grew = truth.totals[step] - truth.totals[step - 1]
        if grew[at.WASHES] > 0.0:
            book.write(moment, f"wash {book.gallons(0.2271, MARKS)} 100F")
        elif grew[at.RINSES] > 0.0 and book.draw.random() < 0.85:
            book.write(moment, f"rinse {book.gallons(0.0757, MARKS)}")
        thrown_m3 = grew[at.DUMPED_WATER_KG] / 1000.0
        if thrown_m3 > LEAST_M3:
            text = f"dump stock {book.gallons(thrown_m3, 0.05)} note it smelled sour"
            book.write(moment, text)


def _running(book: Notebook, step: int) -> None:
    """Note thermometer, gauge and flow tubes a quarter of an hour after a start."""
    truth = book.truth
    end = step + 2
    if end >= len(truth.states) or not truth.states[step : end + 1, at.MEMBRANE_ON].all():
        return
    seconds = (end - step) * truth.plant.step_s
    permeate = truth.grown(step, end, at.PERMEATE_KG) / 1000.0 / seconds
    gallons = book.about(to_unit(permeate, FLOW, "gal/min"), 0.02)
    fahrenheit = to_unit(truth.states[step, at.SAP + at.TEMPERATURE], TEMPERATURE, "F")
    fahrenheit += 0.9 * float(book.draw.standard_normal())
    assert truth.told.membrane is not None
    psi = to_unit(truth.told.membrane.exit_pressure_pa, PRESSURE, "psi")
    psi += 1.5 * float(book.draw.standard_normal())
    text = f"running {fahrenheit:.0f}F {psi:.0f}psi 0.18gal/min {gallons:.2f}gal/min"
    book.write(truth.moment(step), text)


def now_and_then(book: Notebook) -> None:
    """Note what happens seldom: tapping, wood, filters, sap bought, syrup bottled and sold."""
    truth = book.truth

    def on(day: int, month: int, hour: int, minute: int, what: str, who: str = "") -> None:
        book.write(datetime(2026, month, day, hour, minute, tzinfo=ZONE), what, who)

    on(24, 2, 15, 40, "tapped upper bush 240 taps", "Ines")
    on(24, 2, 16, 10, "tapped low corner 80 taps", "Ines")
    book.write(BOUGHT, "bought 120 gal 2.3 paid 48 note from a neighbour without a pan", "Ines")
    book.write(WOOD_BROUGHT, "wood in 1 cord paid 150", "Tobias")
    on(8, 3, 18, 40, "note a branch lies on the low corner line, propped it up", "Tobias")
    on(1, 3, 20, 40, "filter paid 4", "Ines")
    on(9, 3, 5, 40, "membrane filter paid 12", "Ines")
    on(15, 3, 20, 50, "filter paid 4", "Ines")
    for moment in (
        datetime(2026, 2, 24, 16, 30, tzinfo=ZONE),
        datetime(2026, 3, 1, 12, 0, tzinfo=ZONE),
        datetime(2026, 3, 8, 11, 30, tzinfo=ZONE),
        datetime(2026, 3, 15, 12, 10, tzinfo=ZONE),
        LAST_ROUND + timedelta(minutes=3),
    ):
        wood_m3 = truth.states[truth.step(moment), at.WOOD_M3]
        cords = book.about(to_unit(wood_m3, WOOD, "cord"), 0.0 if moment > LAST_ROUND else 0.04)
        book.write(moment, f"wood {cords:.1f} cords")


def check(book: Notebook) -> None:
    """Note hydrometer and refractometer in clean water of a cup, on Sundays, at 60 °F.

    By chance of its own, so that the lines of the rounds stay as they are without it.
    """
    draw = np.random.default_rng(SEED + 1)
    for day in CHECKED:
        moment = datetime(2026, 3, day, 12, 20, tzinfo=ZONE)
        shown = max(0.0, HYDROMETER_OFF + HYDROMETER_SD * float(draw.standard_normal()))
        other = max(0.0, REFRACTOMETER_SD * float(draw.standard_normal()))
        book.write(moment, f"clean water {shown:.1f} hydrometer 60F", "Ines")
        book.write(moment + timedelta(minutes=3), f"clean water {other:.1f} refractometer", "Ines")


LOTS: tuple[tuple[datetime, str], ...] = (
    (datetime(2026, 3, 2, 19, 0, tzinfo=ZONE), "golden delicate light 78"),
    (datetime(2026, 3, 11, 19, 30, tzinfo=ZONE), "amber rich light 64"),
    (datetime(2026, 3, 17, 19, 10, tzinfo=ZONE), "amber rich light 58 metabolic"),
)


def bottle(book: Notebook) -> None:
    """Note what was bottled: what was drawn since, less what stays in the filter."""
    truth, first = book.truth, 0
    for moment, grade in LOTS:
        step = truth.step(moment)
        sugar = truth.grown(first, step, at.SYRUP_SUGAR_KG)
        volume_m3 = 0.985 * sugar / (0.668 * density_kg_m3(66.8, 20.0))
        book.write(moment, f"syrup {book.gallons(volume_m3, PAIL)} {grade}", "Ines")
        first = step


def slipped(lines: list[Line]) -> list[Line]:
    """Return the lines with the slips, the late one and the correction in them."""
    out = list(lines)
    for slip in SLIPS:
        place = _place(out, slip.when, slip.right)
        what = slip.wrong + out[place].what.removeprefix(slip.right)
        out[place] = replace(out[place], what=what, key=slip.key)
        if slip.instead_of:
            del out[_place(out, slip.when[:-2], slip.instead_of, but=slip.key)]
    place = _place(out, LATE[0], LATE[1])
    out[place] = replace(out[place], entered=out[place].entered + LATE[2])
    when, right, wrong = CORRECTED
    place = _place(out, when, right)
    first = replace(out[place], what=wrong + out[place].what.removeprefix(right))
    first = replace(first, key=_key("first as it was entered"))
    mended = out[place].entered + timedelta(minutes=4)
    out[place : place + 1] = [first, replace(out[place], entered=mended, replaces=first.key)]
    return out


def _place(lines: list[Line], when: str, begin: str, but: str = "") -> int:
    """Return which line is meant; there is one, or the slips no longer fit what was written."""
    (found,) = (
        place
        for place, line in enumerate(lines)
        if f"{line.moment:%Y-%m-%d %H:%M}".startswith(when)
        and line.what.startswith(begin)
        and line.key != but
    )
    return found


def main() -> None:
    """Write the table."""
    sys.stdout.write(table(live()))


def table(truth: Truth) -> str:
    """Return the table that is taken into the logbook."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(TITLES)
    for line in slipped(written(truth)):
        times = (f"{each:%Y-%m-%d %H:%M}" for each in (line.entered, line.moment))
        writer.writerow((line.key, *times, line.who, line.what, line.replaces))
    return out.getvalue()


def written(truth: Truth) -> list[Line]:
    """Return what they would have written without a slip, in order of time."""
    book = Notebook(truth)
    steps: tuple[Callable[[Notebook], None], ...] = (watch, now_and_then, bottle, check)
    for step in rounds(truth):
        go_round(book, step)
    for note in steps:
        note(book)
    return sorted(book.lines, key=lambda line: line.moment)


if __name__ == "__main__":
    main()
