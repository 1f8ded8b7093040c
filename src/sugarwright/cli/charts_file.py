"""Charts as PNG or SVG files: the same bytes for the same chart, no clock and no chance in them."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from sugarwright.cli import charts_style as style
from sugarwright.cli.charts_data import (
    Bars,
    ChartData,
    Curve,
    Panel,
    Spans,
    round_ticks,
    tick_text,
    time_ticks,
)
from sugarwright.errors import InputError
from sugarwright.saying.words import date_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KINDS = ("png", "svg")
OWN = b"Sugarwright chart"
"""Stands near the beginning of each file written here, by which it knows its own."""
CAPTION_COLUMNS = 108
LEFT, SPANS_LEFT, RIGHT = 0.09, 0.24, 0.955
"""Where panels begin and end, as shares of the width."""
MOST_NAMES = 11  # of bars, below the axis


def check_chart_file(option: str, name: str) -> Path:
    """Return where a chart shall go, before anything long is reckoned for it.

    Parameters
    ----------
    option : by which it was asked for
    name : of the file, as typed

    Raises
    ------
    InputError : no kind of picture known here, no such folder, or a file that is no chart of ours
    """
    path = Path(name)
    if path.suffix.lower().lstrip(".") not in KINDS:
        raise InputError(
            option, name, "is no kind of picture drawn here", "a name that ends in .png or .svg"
        )
    try:
        if path.is_dir():
            raise InputError(option, name, "is a folder", fix="Name a file in it")
        if not path.parent.is_dir():
            raise InputError(option, name, "cannot be written: there is no such folder")
        if path.exists() and not _may_be_replaced(path):
            raise InputError(
                option,
                name,
                "is a file that is no chart of Sugarwright: it is left alone",
                fix="Choose another name",
            )
    except (OSError, ValueError) as problem:  # a name too long, a file that may not be read
        raise _unwritable(option, name, problem) from None
    return path


def write_chart(chart: ChartData, option: str, name: str) -> None:
    """Draw a chart into a file; an earlier chart there is replaced.

    Parameters
    ----------
    chart : what to show
    option : by which it was asked for
    name : of the file; its end, .png or .svg, says what it becomes

    Raises
    ------
    InputError : as :func:`check_chart_file`, or it cannot be written
    """
    path = check_chart_file(option, name)
    picture = picture_of(chart, path.suffix.lower().lstrip("."))
    try:
        path.write_bytes(picture)
    except (OSError, ValueError) as problem:
        raise _unwritable(option, name, problem) from None


def picture_of(chart: ChartData, kind: str) -> bytes:
    """Return a chart as the bytes of a "png" or "svg" file."""
    import matplotlib as mpl  # half a second that no other command should wait for

    heights = [_height_in(panel) for panel in chart.panels]
    caption = textwrap.wrap(chart.caption, CAPTION_COLUMNS)
    caption_in = style.CAPTION_LINE_IN * len(caption) + 2 * style.MARGIN_IN
    whole_in = style.TITLE_IN + sum(heights) + caption_in
    with mpl.rc_context():
        mpl.rcdefaults()  # whatever somebody's own settings say
        mpl.rcParams.update(style.STYLE)
        figure = _figure(whole_in)
        left = style.MARGIN_IN / style.WIDTH_IN
        title = "\n".join(textwrap.wrap(chart.title, 76))
        top = 1.0 - style.MARGIN_IN / whole_in
        figure.text(left, top, title, va="top", fontsize=13, fontweight="bold")
        below_in = whole_in - style.TITLE_IN
        for panel, height_in in zip(chart.panels, heights, strict=True):
            below_in -= height_in
            _draw(figure, panel, chart.timezone, below_in, height_in, whole_in)
        figure.text(
            left,
            style.MARGIN_IN / whole_in,
            "\n".join(caption),
            va="bottom",
            fontsize=8,
            color=style.QUIET,
            linespacing=1.4,
        )
        return _bytes(figure, kind, chart)


def _figure(height_in: float) -> Figure:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(style.WIDTH_IN, height_in))
    FigureCanvasAgg(figure)
    return figure


def _bytes(figure: Figure, kind: str, chart: ChartData) -> bytes:
    """Return the file, with its title and caption for whoever cannot see it."""
    told = {"Title": chart.title, "Description": chart.caption}
    metadata = {"Software": OWN.decode()} if kind == "png" else {"Creator": OWN.decode()}
    if kind == "svg":
        metadata["Date"] = None  # type: ignore[assignment]  # how the library leaves it out
    file = BytesIO()
    figure.savefig(file, format=kind, metadata={**metadata, **told})
    return file.getvalue()


def _height_in(panel: Panel) -> float:
    if isinstance(panel, Spans):
        return style.SPANS_IN + style.SPAN_IN * len(panel.spans)
    return style.CURVE_IN if isinstance(panel, Curve) else style.BARS_IN


def _draw(
    figure: Figure, panel: Panel, timezone: str, below_in: float, height_in: float, whole_in: float
) -> None:
    """Draw a panel into its strip of the picture."""
    left = SPANS_LEFT if isinstance(panel, Spans) else LEFT
    axes = figure.add_axes(
        (left, (below_in + 0.42) / whole_in, RIGHT - left, (height_in - 0.8) / whole_in)
    )
    title = f"{panel.title}, {panel.unit}" if panel.unit else panel.title
    offset = (LEFT - left) / (RIGHT - left)  # all titles begin where the widest axis does
    axes.set_title(title, x=offset)
    if isinstance(panel, Curve):
        _curve(axes, panel, timezone)
    elif isinstance(panel, Bars):
        _bars(axes, panel)
    else:
        _spans(axes, panel, timezone)
    if panel.band:
        axes.set_title(panel.band, loc="right", fontweight="normal", color=style.QUIET, fontsize=9)


def _curve(axes: Axes, panel: Curve, timezone: str) -> None:
    begin_s, end_s = panel.time_s[0], panel.time_s[-1]
    ticks = time_ticks(begin_s, end_s, timezone, 11)
    for time_s, _ in ticks:
        axes.axvline(time_s, color=style.GRID, linewidth=0.8, zorder=0)
    if panel.low is not None and panel.high is not None:
        axes.fill_between(panel.time_s, panel.low, panel.high, color=style.BAND, linewidth=0)
    axes.plot(panel.time_s, panel.values, color=style.LINE)
    axes.set_xlim(begin_s, max(end_s, begin_s + 1.0))
    axes.set_xticks([time_s for time_s, _ in ticks], [text for _, text in ticks])
    if panel.level is not None:
        axes.axhline(panel.level.at, color=style.MARK, linewidth=1.0, linestyle=(0, (6, 3)))
        _name(axes, 1.0, panel.level.at, panel.level.label, "right", across=False)
    if panel.moment is not None and begin_s <= panel.moment.at <= end_s:
        axes.axvline(panel.moment.at, color=style.MARK, linewidth=1.0, linestyle=(0, (1, 2)))
        _name(axes, panel.moment.at, 0.98, panel.moment.label, "left", across=True)
    if panel.from_zero:
        axes.set_ylim(bottom=0.0)
    _values(axes, across=False)


def _name(axes: Axes, x: float, y: float, text: str, side: str, *, across: bool) -> None:
    """Write the name of a mark beside it: one coordinate of the data, one of the frame."""
    axes.annotate(
        text,
        (x, y),
        xycoords=axes.get_xaxis_transform() if across else axes.get_yaxis_transform(),
        xytext=(3 if across else -2, -2 if across else 2),
        textcoords="offset points",
        ha=side,
        va="top" if across else "bottom",
        color=style.MARK,
        fontsize=9,
        bbox={"facecolor": style.PAPER, "alpha": 0.75, "edgecolor": "none", "pad": 0.5},
    )


def _bars(axes: Axes, panel: Bars) -> None:
    places = range(len(panel.bars))
    values = [bar.value for bar in panel.bars]
    axes.bar(places, values, width=0.72, color=style.FILL, edgecolor=style.LINE, linewidth=0.8)
    for place, bar in zip(places, panel.bars, strict=True):
        if bar.low is not None and bar.high is not None:
            axes.plot([place, place], [bar.low, bar.high], color=style.INK, linewidth=1.4)
            axes.plot([place] * 2, [bar.low, bar.high], "_", color=style.INK, markersize=6)
    every = -(-len(panel.bars) // MOST_NAMES) or 1
    named = list(places)[::every]
    axes.set_xticks(named, [panel.bars[place].label for place in named])
    axes.set_xlim(-0.6, max(len(panel.bars), 1) - 0.4)
    axes.set_ylim(bottom=0.0)
    _values(axes, across=False)


def _spans(axes: Axes, panel: Spans, timezone: str) -> None:
    for place, span in enumerate(panel.spans):
        ends = [span.low, span.high]
        axes.plot(ends, [place] * 2, color=style.FILL, linewidth=7, solid_capstyle="butt")
        axes.plot(ends, [place] * 2, "|", color=style.LINE, markersize=10)
        axes.plot([span.middle], [place], "o", color=style.LINE, markersize=6)
    axes.set_yticks(range(len(panel.spans)), [span.label for span in panel.spans])
    axes.set_ylim(len(panel.spans) - 0.4, -0.6)
    if panel.dates:
        low, high = axes.get_xlim()
        ticks = time_ticks(low, high, timezone, 9)
        axes.set_xticks(
            [time_s for time_s, _ in ticks], [date_text(time_s, timezone) for time_s, _ in ticks]
        )
        axes.grid(axis="x", color=style.GRID)
    else:
        axes.set_xlim(left=min(0.0, axes.get_xlim()[0]))
        _values(axes, across=True)


def _values(axes: Axes, *, across: bool) -> None:
    """Put round values and a quiet grid on the axis of values."""
    low, high = axes.get_xlim() if across else axes.get_ylim()
    ticks = round_ticks(low, high, 8 if across else 6)
    _set_ticks(axes, ticks, across=across)
    axes.grid(axis="x" if across else "y", color=style.GRID)


def _set_ticks(axes: Axes, ticks: Sequence[float], *, across: bool) -> None:
    texts = [tick_text(tick).replace("-", "−") for tick in ticks]
    if across:
        axes.set_xticks(list(ticks), texts)
    else:
        axes.set_yticks(list(ticks), texts)


def _may_be_replaced(path: Path) -> bool:
    """Whether a file is one of ours, or holds nothing."""
    with path.open("rb") as file:
        begin = file.read(4000)
    return not begin or OWN in begin


def _unwritable(option: str, name: str, problem: Exception) -> InputError:
    reason = getattr(problem, "strerror", None) or str(problem)
    return InputError(option, name, f"cannot be written: {reason}")
