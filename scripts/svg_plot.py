"""Draw a small line-and-point chart as SVG text, with nothing but the standard library.

Readable on light and dark pages (the picture asks which), the same bytes every time.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape

WIDTH, HEIGHT = 680, 400
LEFT, RIGHT, TOP, BOTTOM = 66, 16, 40, 50
CHARACTER, ROW = 6.6, 17
STYLE = """\
text{font:12px system-ui,"DejaVu Sans",sans-serif;fill:#333}
.title{font-size:14px;font-weight:600}
.page{fill:#fff}.grid{stroke:#e2e2e2}.frame{stroke:#999;fill:none}.key{fill:#fff;fill-opacity:.85}
.line{fill:none;stroke-width:1.8}.dash{stroke-dasharray:6 4}.point{stroke-width:1.5}
.s0{stroke:#1763a6;color:#1763a6}.s1{stroke:#b3420f;color:#b3420f}.s2{stroke:#2b7a38;color:#2b7a38}
.s3{stroke:#7a3fa0;color:#7a3fa0}.s4{stroke:#6b6b6b;color:#6b6b6b}.s5{stroke:#a0790b;color:#a0790b}
.point{fill:currentColor}.open{fill:none}
@media (prefers-color-scheme:dark){text{fill:#ddd}.page,.key{fill:#16191d}.grid{stroke:#30353b}
.frame{stroke:#7d858e}.s0{stroke:#6db1ee;color:#6db1ee}.s1{stroke:#f08c58;color:#f08c58}
.s2{stroke:#7cc98a;color:#7cc98a}.s3{stroke:#c79be6;color:#c79be6}.s4{stroke:#aaa;color:#aaa}
.s5{stroke:#dcb94a;color:#dcb94a}}"""

Point = tuple[float, float]


@dataclass(frozen=True)
class Series:
    """Points that belong together: a curve of the model, or a table of a source.

    Parameters
    ----------
    label : what the key says; empty leaves it out of the key
    points : (x, y) in the units of the axes
    look : "line", "dash", "point" or "open" (a hollow point)
    colour : 0 to 5; a model and the points that it is held against share one
    """

    label: str
    points: Sequence[Point]
    look: str
    colour: int


@dataclass(frozen=True)
class Axis:
    """One axis: what it shows, from where to where, on which scale."""

    label: str
    least: float
    greatest: float
    logarithmic: bool = False

    def place(self, value: float) -> float:
        """Return where a value lies, 0 at the least and 1 at the greatest."""
        if self.logarithmic:
            span = math.log(self.greatest / self.least)
            return math.log(value / self.least) / span
        return (value - self.least) / (self.greatest - self.least)

    def ticks(self) -> list[float]:
        """Return some five to ten round values within the axis."""
        if self.logarithmic:
            decades = range(math.floor(math.log10(self.least)), 20)
            many = math.log10(self.greatest / self.least) > 3.0
            steps = (1,) if many else (1, 2, 5)
            values = [float(f"{m}e{d}") for d in decades for m in steps]
        else:
            rough = (self.greatest - self.least) / 6.0
            base = 10.0 ** math.floor(math.log10(rough))
            step = base * min((1, 2, 5, 10), key=lambda m: abs(m * base - rough))
            first = math.ceil(self.least / step - 1e-9)
            values = [step * (first + i) for i in range(20)]
        slack = 1e-9 * (self.greatest - self.least)
        return [v for v in values if self.least - slack <= v <= self.greatest + slack]


def _number(value: float) -> str:
    """Write a tick as people do: 0.05, 20, 1e6."""
    text = f"{value:.4g}" if abs(value) > 1e-12 else "0"
    return text.replace("-", "−").replace("e+0", "e").replace("e−0", "e−")


def _coordinates(points: Iterable[Point], x_of: Callable[[float], float],
                 y_of: Callable[[float], float]) -> list[tuple[str, str]]:  # fmt: skip
    return [(f"{x_of(x):.1f}", f"{y_of(y):.1f}") for x, y in points]


def _mark(look: str, colour: int, coordinates: list[tuple[str, str]]) -> str:
    """Draw a series: a path, or a dot at each place."""
    if look in ("line", "dash"):
        path = " ".join(f"{x},{y}" for x, y in coordinates)
        return f'<polyline class="line {look} s{colour}" points="{path}"/>'
    dots = (f'<circle cx="{x}" cy="{y}" r="3.2"/>' for x, y in coordinates)
    return f'<g class="point {look} s{colour}">{"".join(dots)}</g>'


def _key(series: Sequence[Series], corner: str) -> list[str]:
    """Draw the key into a corner: "nw", "ne", "sw" or "se"."""
    named = [each for each in series if each.label]
    width = 44 + CHARACTER * max(len(each.label) for each in named)
    height = ROW * len(named) + 8
    left = LEFT + 8 if "w" in corner else WIDTH - RIGHT - 8 - width
    top = TOP + 8 if "n" in corner else HEIGHT - BOTTOM - 8 - height
    parts = [f'<rect class="key" x="{left:.1f}" y="{top}" width="{width:.1f}" height="{height}"/>']
    for i, each in enumerate(named):
        y = top + 4 + ROW * (i + 0.5)
        ends = [left + 6.0, left + 28.0] if each.look in ("line", "dash") else [left + 17.0]
        parts.append(_mark(each.look, each.colour, [(f"{x:.1f}", f"{y:.1f}") for x in ends]))
        parts.append(f'<text x="{left + 36:.1f}" y="{y + 4:.1f}">{escape(each.label)}</text>')
    return parts


def _grid(x: Axis, y: Axis, x_of: Callable[[float], float],
          y_of: Callable[[float], float]) -> list[str]:  # fmt: skip
    """Draw grid lines, ticks, the frame and the names of both axes."""
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM
    parts = []
    for tick in x.ticks():
        at = f"{x_of(tick):.1f}"
        parts.append(f'<path class="grid" d="M{at} {TOP}V{bottom}"/>')
        parts.append(
            f'<text x="{at}" y="{bottom + 17}" text-anchor="middle">{_number(tick)}</text>'
        )
    for tick in y.ticks():
        height = y_of(tick)
        parts.append(f'<path class="grid" d="M{LEFT} {height:.1f}H{right}"/>')
        parts.append(
            f'<text x="{LEFT - 6}" y="{height + 4:.1f}" text-anchor="end">{_number(tick)}</text>'
        )
    parts.append(f'<path class="frame" d="M{LEFT} {TOP}H{right}V{bottom}H{LEFT}Z"/>')
    middle_x, middle_y = (LEFT + right) / 2, (TOP + bottom) / 2
    parts.append(
        f'<text x="{middle_x}" y="{HEIGHT - 12}" text-anchor="middle">{escape(x.label)}</text>'
    )
    turned = f'transform="translate(16 {middle_y}) rotate(-90)"'
    parts.append(f'<text {turned} text-anchor="middle">{escape(y.label)}</text>')
    return parts


def draw(title: str, x: Axis, y: Axis, series: Sequence[Series], key: str = "nw") -> str:
    """Return a chart as the text of an SVG file.

    Parameters
    ----------
    title : written above it, and what a screen reader says
    x, y : the axes; what lies outside is cut off at the frame
    series : drawn in this order
    key : corner for the key
    """
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM

    def x_of(value: float) -> float:
        return LEFT + x.place(value) * (right - LEFT)

    def y_of(value: float) -> float:
        return bottom - y.place(value) * (bottom - TOP)

    frame = f'<rect x="{LEFT}" y="{TOP}" width="{right - LEFT}" height="{bottom - TOP}"/>'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">',
        f"<title>{escape(title)}</title><style>{STYLE}</style>",
        f'<clipPath id="frame">{frame}</clipPath>',
        f'<rect class="page" width="{WIDTH}" height="{HEIGHT}"/>',
        f'<text class="title" x="{LEFT}" y="24">{escape(title)}</text>',
        *_grid(x, y, x_of, y_of),
        '<g clip-path="url(#frame)">',
        *(_mark(s.look, s.colour, _coordinates(s.points, x_of, y_of)) for s in series),
        "</g>",
        *_key(series, key),
        "</svg>\n",
    ]
    return "\n".join(parts)
