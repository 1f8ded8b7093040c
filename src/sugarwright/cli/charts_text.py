"""Charts drawn with letters, within 80 columns: curves, bars, ranges."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence

from sugarwright.cli.charts_canvas import Canvas, Letters, letters_for
from sugarwright.cli.charts_data import (
    Bar,
    Bars,
    ChartData,
    Curve,
    Span,
    Spans,
    round_ticks,
    tick_text,
    time_ticks,
)
from sugarwright.cli.output import WIDTH, wrapped
from sugarwright.saying.words import date_text

LABEL, ROWS, COLUMNS = 6, 8, 72
MOST_LYING_BARS = 16
"""More bars than these stand side by side: a line for each would be a table."""


def chart_lines(chart: ChartData, letters: Letters | None = None) -> Iterator[str]:
    """Yield a chart as lines of at most 80 columns.

    Parameters
    ----------
    chart : what to show
    letters : to draw with; left out: the finest that stdout can show
    """
    drawn = letters or letters_for(sys.stdout)
    yield wrapped(chart.title)
    for panel in chart.panels:
        yield ""
        if isinstance(panel, Curve):
            yield from _curve(panel, chart.timezone, drawn)
        elif isinstance(panel, Bars):
            yield from _bars(panel, drawn)
        else:
            yield from _spans(panel, chart.timezone, drawn)
    if chart.caption:
        yield ""
        yield wrapped(chart.caption)


def _head(title: str, unit: str, *more: str) -> str:
    return wrapped("; ".join(filter(None, [f"{title}, {unit}" if unit else title, *more])), "  ")


def _curve(panel: Curve, timezone: str, letters: Letters) -> Iterator[str]:
    banded = panel.low is not None and panel.high is not None
    meant = [f"{letters.band} {panel.band}"] if banded and panel.band else []
    meant += [f"{letters.rule} {panel.level.label}"] if panel.level else []
    meant += [f"{letters.moment} {panel.moment.label}"] if panel.moment else []
    yield _head(panel.title, panel.unit, *meant)
    least, greatest = _reach_of(panel)
    begin_s, end_s = panel.time_s[0], panel.time_s[-1]
    long_s = max(1.0, end_s - begin_s)
    xs = [(each - begin_s) / long_s for each in panel.time_s]

    def heights(values: Sequence[float]) -> list[float]:
        return [(value - least) / (greatest - least) for value in values]

    canvas = Canvas(COLUMNS, ROWS, letters)
    if panel.low is not None and panel.high is not None:
        canvas.band(xs, heights(panel.low), heights(panel.high))
    if panel.level is not None and least <= panel.level.at <= greatest:
        canvas.rule(heights([panel.level.at])[0])
    if panel.moment is not None and begin_s <= panel.moment.at <= end_s:
        canvas.moment((panel.moment.at - begin_s) / long_s)
    canvas.line(xs, heights(panel.values))
    yield from framed(canvas, least, greatest)
    ticks = time_ticks(begin_s, end_s, timezone, COLUMNS // 9)
    yield from _below([((time_s - begin_s) / long_s, text) for time_s, text in ticks], letters)


def _reach_of(panel: Curve) -> tuple[float, float]:
    """Return the ends of the axis: all that is drawn, and a little air."""
    shown = [*panel.values, *(panel.low or ()), *(panel.high or ())]
    if panel.level is not None:
        shown.append(panel.level.at)
    least, greatest = min(shown), max(shown)
    if panel.from_zero:
        return 0.0, max(1.02 * greatest, 1e-9)
    air = 0.04 * (greatest - least) or 1.0
    return least - air, greatest + air


def framed(canvas: Canvas, least: float, greatest: float) -> Iterator[str]:
    """Yield a canvas with round values beside it.

    Parameters
    ----------
    canvas : what was drawn
    least, greatest : values at its lower and upper edge
    """
    long = (greatest - least) or 1.0
    names: dict[int, str] = {}
    for tick in round_ticks(least, greatest, 6):
        names.setdefault(canvas.row((tick - least) / long), tick_text(tick))
    for row, line in enumerate(canvas.lines()):
        yield f"{names.get(row, ''):>{LABEL}} {canvas.letters.side}{line}".rstrip()


def _below(ticks: Sequence[tuple[float, str]], letters: Letters) -> Iterator[str]:
    """Yield the lower axis and what stands below it, each text where its tick is."""
    canvas = Canvas(COLUMNS, 1, letters)
    row, free = [" "] * COLUMNS, 0
    axis = [letters.floor] * COLUMNS
    for x, text in ticks:
        first = min(canvas.column(x), COLUMNS - len(text))
        if first >= free:
            axis[canvas.column(x)] = letters.tick
            row[first : first + len(text)] = text
            free = first + len(text) + 1
    yield " " * (LABEL + 1) + letters.corner + "".join(axis)
    yield " " * (LABEL + 2) + "".join(row).rstrip()


def _bars(panel: Bars, letters: Letters) -> Iterator[str]:
    if not panel.bars:
        yield _head(panel.title, panel.unit)
    elif len(panel.bars) <= MOST_LYING_BARS:
        yield from _lying(panel, letters)
    else:
        yield from _standing(panel, letters)


def _lying(panel: Bars, letters: Letters) -> Iterator[str]:
    """Yield a line for each bar: its name, the bar, the figures."""
    ranged = any(bar.high is not None for bar in panel.bars)
    yield _head(panel.title, panel.unit, f"in brackets {panel.band}" if panel.band else "")
    if ranged:
        steps = f"{letters.full} to its low end, {letters.sure} to the middle"
        yield f"  {steps}, {letters.maybe} to its high end"
    texts = [_figures(bar, panel.digits) for bar in panel.bars]
    names = max(len(bar.label) for bar in panel.bars)
    wide = max(10, WIDTH - 5 - names - max(map(len, texts)))
    most = max(max(bar.value, bar.high or 0.0) for bar in panel.bars) or 1.0
    for bar, text in zip(panel.bars, texts, strict=True):
        yield f"  {bar.label:<{names}} {_bar(bar, most, wide, letters):<{wide}} {text}"


def _figures(bar: Bar, digits: int) -> str:
    text = f"{bar.value:,.{digits}f}"
    if bar.low is None or bar.high is None:
        return text
    return f"{text} ({bar.low:,.{digits}f} to {bar.high:,.{digits}f})"


def _bar(bar: Bar, most: float, wide: int, letters: Letters) -> str:
    value = bar.value / most * wide
    if bar.low is None or bar.high is None:
        whole, part = divmod(round(8 * value), 8) if letters.eighths else (round(value), 0)
        return letters.full * whole + (letters.eighths[part - 1] if part else "")
    low, high = round(bar.low / most * wide), round(bar.high / most * wide)
    middle = max(low, round(value))
    return letters.full * low + letters.sure * (middle - low) + letters.maybe * (high - middle)


def _standing(panel: Bars, letters: Letters) -> Iterator[str]:
    """Yield bars side by side, one or more columns each, with their high ends above them."""
    ranged = any(bar.high is not None for bar in panel.bars)
    shown = panel.bars[:COLUMNS]
    left_out = f"the first {COLUMNS} of {len(panel.bars)}" if len(panel.bars) > COLUMNS else ""
    ends = f"{letters.whisker} up to the high end of {panel.band}" if ranged else ""
    yield _head(panel.title, panel.unit, ends, left_out)
    wide = COLUMNS // len(shown)
    most = max(max(bar.value, bar.high or 0.0) for bar in shown) or 1.0
    rows = [[" "] * (wide * len(shown)) for _ in range(ROWS)]
    for number, bar in enumerate(shown):
        cells = _column(bar, most, letters)
        for at in range(number * wide, (number + 1) * wide - (wide > 1)):
            for row, cell in enumerate(cells):
                rows[ROWS - 1 - row][at] = cell
    names = {Canvas(1, ROWS, letters).row(tick / most): tick for tick in round_ticks(0.0, most, 6)}
    for row, line in enumerate(rows):
        name = tick_text(names[row]) if row in names else ""
        yield f"{name:>{LABEL}} {letters.side}{''.join(line)}".rstrip()
    ticks = [(number * wide / COLUMNS, bar.label) for number, bar in enumerate(shown)]
    yield from _below(ticks, letters)


def _column(bar: Bar, most: float, letters: Letters) -> list[str]:
    """Return the cells of a standing bar, from below."""
    eighths = len(letters.rises) + 1
    whole, part = divmod(round(bar.value / most * ROWS * eighths), eighths)
    cells = [letters.full] * whole + ([letters.rises[part - 1]] if part else [])
    high = round((bar.high or 0.0) / most * ROWS)
    cells += [letters.whisker] * (high - len(cells))
    return cells[:ROWS]


def _spans(panel: Spans, timezone: str, letters: Letters) -> Iterator[str]:
    """Yield a line for each range and one axis below."""
    band = f"{letters.left}{letters.span}{letters.right} {panel.band}" if panel.band else ""
    yield _head(panel.title, panel.unit, f"{letters.middle} the middle", band)
    if not panel.spans:
        return
    least, greatest = min(each.low for each in panel.spans), max(each.high for each in panel.spans)
    if not panel.dates:
        least = min(0.0, least)
    long = (greatest - least) or 1.0
    texts = [_span_text(each, panel, timezone) for each in panel.spans]
    names = max(len(each.label) for each in panel.spans)
    wide = max(10, WIDTH - 5 - names - max(map(len, texts)))
    for each, text in zip(panel.spans, texts, strict=True):
        canvas = Canvas(wide, 1, letters)
        low, high = (
            canvas.column((each.low - least) / long),
            canvas.column((each.high - least) / long),
        )
        canvas.put(low / wide, 0.0, letters.span * (high - low + 1))
        canvas.put(low / wide, 0.0, letters.left)
        canvas.put(high / wide, 0.0, letters.right)
        canvas.put((each.middle - least) / long, 0.0, letters.middle)
        yield f"  {each.label:<{names}} {canvas.lines()[0]} {text}"


def _span_text(span: Span, panel: Spans, timezone: str) -> str:
    ends = (span.middle, span.low, span.high)
    if panel.dates:
        middle, low, high = (date_text(each, timezone) for each in ends)
    else:
        middle, low, high = (f"{each:,.{panel.digits}f}" for each in ends)
    return f"{middle} ({low} to {high})"
