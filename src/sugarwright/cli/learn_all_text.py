"""All that a log teaches, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sugarwright.cli.learnt import HOURLY, figure_words, shown
from sugarwright.cli.output import columns, wrapped
from sugarwright.learning.instrument_keys import key_of
from sugarwright.learning.kept import Figure, kept_of
from sugarwright.saying.instruments import amount_text, bias_text, would_tell_text
from sugarwright.saying.membrane_lesson import LessonWords
from sugarwright.units import FLOW, TEMPERATURE_DIFFERENCE, VOLUME, WOOD, show

if TYPE_CHECKING:
    from sugarwright.cli.learn_told import Told, Version
    from sugarwright.learning.air import ForecastLesson
    from sugarwright.learning.everything import Change, Everything
    from sugarwright.learning.grid import Foretold
    from sugarwright.learning.instruments import InstrumentLesson
    from sugarwright.learning.points import PointLesson
    from sugarwright.learning.remarks import Doubt, Remark
    from sugarwright.plant.house import House

_NINETY = 1.6449


def everything_lines(told: Told, house: House) -> Iterator[str]:
    """Yield what was learnt, part by part; then what became of it."""
    found = told.learnt
    if found.changes:
        yield "In brackets: nine chances in ten."
    yield from _changes(found.changes, house)
    yield from _pan(found, house)
    yield from _wood(found, house)
    yield from _trees(found)
    yield from _points(found.points, house)
    yield from _forecast(found.forecast, house)
    yield from _instruments(found.instruments, house)
    for text in found.notes:
        yield wrapped(text, "  ")
    yield from _next(found, house)
    yield from _kept(told)


def _changes(changes: Sequence[Change], house: House) -> Iterator[str]:
    if not changes:
        yield wrapped(
            "No fire of the log says anything of pan or wood yet. Write down when it is lit and "
            "when the last wood is on, and read the pan's tank before and after."
        )
        return
    for each in changes:
        figure = each.figure
        low, high = _band(figure)
        now, least, most, in_use, described = (
            shown(figure, value, house)
            for value in (figure.value, low, high, each.in_use, figure.described)
        )
        words = figure_words(figure.key)
        text = f"{words}: {now} ({least} to {most}); in use {in_use}"
        yield wrapped(text if in_use == described else f"{text}, described {described}", rest="  ")
    for each in changes:
        if each.doubt:
            yield wrapped(f"{figure_words(each.figure.key)}: {each.doubt}.",
                          "! ")  # fmt: skip
    yield ""


def _band(figure: Figure) -> tuple[float, float]:
    if figure.of_log:
        wide = math.exp(_NINETY * figure.sd)
        return figure.value / wide, figure.value * wide
    return figure.value - _NINETY * figure.sd, figure.value + _NINETY * figure.sd


def _pan(found: Everything, house: House) -> Iterator[str]:
    pan = found.pan
    boils = sum(each.boils for each in pan.years)
    yield f"The pan: {boils} boils"
    if len(pan.years) > 1:
        unit = HOURLY[house.site.units]
        each_year = [
            f"{each.year} {show(each.boil_rate_m3_s, FLOW, house.site.units, 1, unit)}"
            for each in pan.years
        ]
        yield wrapped(f"Boil-off by year: {', '.join(each_year)}.", "  ")
    if boils:
        yield wrapped(f"One day's firing differs from another's by {100 * pan.day_sd_log:.0f} %.",
                      "  ")  # fmt: skip
    yield from _check(pan.boiled, house)
    yield from _doubts(pan.doubts, house)
    yield from _remarks(pan.remarks, house)


def _wood(found: Everything, house: House) -> Iterator[str]:
    wood = found.wood
    yield f"The wood: {wood.fires} fires measured"
    if wood.fires:
        wide = math.exp(_NINETY * wood.sd_log)
        units = house.site.units
        low, middle, high = (
            show(value, WOOD, units)
            for value in (wood.wood_m3_h / wide, wood.wood_m3_h, wood.wood_m3_h * wide)
        )
        yield wrapped(f"An hour at full fire takes {middle} ({low} to {high}).", "  ")
    yield from _check(wood.burnt, house)
    yield from _doubts(wood.doubts, house)


def _check(each: Sequence[Foretold], house: House) -> Iterator[str]:
    if not each:
        return
    inside = sum(one.inside for one in each)
    text = (
        f"Check: foretold from those before it, {inside} of {len(each)} fell into the band that "
        "holds nine of ten."
    )
    yield wrapped(text, "  ")
    for one in each:
        if not one.inside:
            units = house.site.units
            amount, expected = (show(v, VOLUME, units) for v in (one.measured, one.expected))
            yield wrapped(f"{_when(one.at_s, house)}: {amount}, expected {expected}.", "    ")


def _doubts(doubts: Sequence[Doubt], house: House) -> Iterator[str]:
    for each in doubts:
        others = "".join(f" (or that of {_when(at_s, house)})" for at_s in each.instead_s[:2])
        yield wrapped(
            f"{_when(each.at_s, house)}{others}: {each.what} does not fit the rest; it is left "
            f"out of account ({_chances(each.chance_fraction)} that something is wrong).",
            "  ! ",
        )


def _remarks(remarks: Sequence[Remark], house: House, most: int = 4) -> Iterator[str]:
    for each in remarks[-most:]:
        yield wrapped(f"{_when(each.at_s, house)}: {each.what}.", "  ")
    if len(remarks) > most:
        yield f"  And {len(remarks) - most} more of that kind before."


def _trees(found: Everything) -> Iterator[str]:
    from sugarwright.cli.learn_text import lesson_lines

    yield "The trees"
    if not found.trees:
        yield "  Nothing to learn from yet."
    for lesson in found.trees:
        yield from (f"  {line}" for line in list(lesson_lines(lesson))[:3])


def _points(points: Sequence[PointLesson], house: House) -> Iterator[str]:
    if not points:
        return
    units = house.site.units
    yield "The lines, each against the others in the same runs"
    rows = [("", "gatherings", "came", "expected", "against others", "leak")]
    for each in points:
        wide = math.exp(_NINETY * each.against_others_sd_log)
        ratio = each.against_others_ratio
        rows.append(
            (
                each.point,
                str(each.gatherings),
                show(each.came_m3, VOLUME, units),
                show(each.expected_m3, VOLUME, units),
                f"{ratio:.2f} ({ratio / wide:.2f} to {ratio * wide:.2f})",
                f"{min(100 * each.leak_chance_fraction, 99):.0f} %",
            )
        )
    yield from (f"  {line}" for line in columns(rows))
    for each in points:
        if each.lost_fraction is not None:
            since = "all along" if each.since_s is None else f"since {_when(each.since_s, house)}"
            yield wrapped(
                f"Walk {each.point}: it may leak. It brings some {100 * each.lost_fraction:.0f} % "
                f"less {since}, by what the other lines got from the same runs "
                f"({_chances(each.leak_chance_fraction)}).",
                "  ! ",
            )


def _forecast(lesson: ForecastLesson | None, house: House) -> Iterator[str]:
    if lesson is None:
        return
    units = house.site.units
    size, unsure = (
        show(abs(value), TEMPERATURE_DIFFERENCE, units, 1)
        for value in (lesson.bias_k, _NINETY * lesson.bias_sd_k)
    )
    way = "warm" if lesson.bias_k > 0.0 else "cold"
    judged = f"{lesson.forecasts} forecasts judged by measured hours"
    if lesson.wall_days:
        judged += f", {lesson.wall_readings} readings on {lesson.wall_days} days"
    yield f"The forecast ({lesson.source}): {judged}"
    if abs(lesson.bias_k) < _NINETY * lesson.bias_sd_k:
        yield wrapped(f"It can't be told yet that it runs warm or cold ({size} {way}, give or "
                      f"take {unsure}).", "  ")  # fmt: skip
    else:
        yield wrapped(f"It runs {size} too {way}, give or take {unsure}.", "  ")


def _instruments(lesson: InstrumentLesson, house: House) -> Iterator[str]:
    if not lesson.biases:
        return
    yield "Instruments"
    for each in lesson.biases:
        if each.certain:
            key = key_of(each.quantity, each.instrument)
            said = bias_text(key, each.bias, house.site.units)
            unsure = amount_text(each.quantity, _NINETY * each.sd, house.site.units)
            yield wrapped(f"The {said}, give or take {unsure} ({each.pairs} comparisons).", "  ! ")
    for each_pair in lesson.apart:
        amount = amount_text(each_pair.quantity, abs(each_pair.difference), house.site.units)
        way = "above" if each_pair.difference > 0.0 else "below"
        yield wrapped(
            f"The {each_pair.first} reads {amount} {way} the {each_pair.second} "
            f"({each_pair.pairs} comparisons); which of them is wrong can't be told from that.",
            "  ! ",
        )
    if any(each.certain for each in lesson.biases):
        yield wrapped("Kept, it puts right what they read from then on and before, in all that is "
                      "reckoned; the log stays as it was read.", "  ")  # fmt: skip
    if not lesson.apart and not any(each.certain for each in lesson.biases):
        yield wrapped("No instrument can be told from one that reads true.", "  ")
    if more := would_tell_text(lesson, house.site.units):
        yield wrapped(more, "  ")


def _next(found: Everything, house: House) -> Iterator[str]:
    if not found.next:
        return
    yield "What would teach most now"
    sign = house.site.currency
    for count, each in enumerate(found.next[:3], 1):
        yield wrapped(
            f"{each.what}. A week's worth would be unsure by {sign}{each.closer_money:.1f} less "
            f"(on this account it is by {sign}{each.at_stake_money:.0f}).",
            f"  {count}. ",
        )


def _kept(told: Told) -> Iterator[str]:
    yield ""
    if told.kept:
        yield f"Kept: {', '.join(told.kept)}. `sugarwright learn --undo all` takes it back."
    elif told.learnt.fits or told.learnt.trees:
        yield "Nothing is kept. `sugarwright learn --keep` lets plans stand on it."
    else:
        yield "There is nothing to keep yet."
    if told.held_back:
        yield wrapped(
            f"Not without --sure: {', '.join(told.held_back)}, which jumps beyond what is usual. "
            "Look at the readings first.",
            "! ",
        )


def history_lines(versions: Sequence[Version], house: House) -> Iterator[str]:
    """Yield all versions, the oldest first."""
    if not versions:
        yield "Nothing was kept yet."
    for each in sorted(versions, key=lambda one: (one.made_s, one.name)):
        back = (
            "" if each.taken_back_s is None else f" (taken back {_when(each.taken_back_s, house)})"
        )
        yield f"{_when(each.made_s, house)}  {each.name}{back}"
        if each.name == "trees":
            for fit in each.document.get("fits", [])[-1:]:
                yield wrapped(
                    f"{fit['season']}: {fit['yield_factor']:.2f} of usual sap per tap, "
                    f"{fit['sap_brix']:.2f} Brix",
                    "  ",
                )
            continue
        for figure in kept_of(each.name, each.document).figures:
            words = figure_words(figure.key)
            yield wrapped(f"{words} {shown(figure, figure.value, house)}", "  ")


def _chances(fraction: float) -> str:
    """Return a chance in words; certainty is not claimed."""
    return "over 99 chances in 100" if fraction > 0.99 else f"{100 * fraction:.0f} chances in 100"


def _when(time_s: float, house: House) -> str:
    return LessonWords(house).moment(time_s)
