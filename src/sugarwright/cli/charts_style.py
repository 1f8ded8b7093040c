"""How pictures of charts look: one calm style for all of them, defined here once.

Ink on warm white, few lines, no box. Nothing is told by colour alone: panels hold one thing each,
bands are pale areas about a dark line, levels are dashed and named. The two hues are far apart in
lightness too, so that a grey print and a colour-blind eye lose nothing.
"""

from __future__ import annotations

from typing import Any

PAPER = "#fffdf8"
INK = "#26303a"
QUIET = "#6b747c"
GRID = "#e4e1d8"
LINE = "#14507f"
FILL = "#8fb4d3"
BAND = "#d4e2ee"
MARK = "#9a4a12"

WIDTH_IN = 8.0
MARGIN_IN = 0.15
TITLE_IN = 0.42
CURVE_IN = 2.2
BARS_IN = 2.4
SPAN_IN, SPANS_IN = 0.36, 0.95
"""Height of each range, and of what stands around them."""
CAPTION_LINE_IN = 0.19
DPI = 150

STYLE: dict[Any, Any] = {  # the library's own type lists every key it knows
    "font.family": ["DejaVu Sans"],  # comes with the library: the same on every machine
    "font.size": 10.0,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.edgecolor": QUIET,
    "axes.facecolor": PAPER,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "axes.grid": False,
    "axes.titlesize": 10.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.unicode_minus": True,
    "figure.facecolor": PAPER,
    "figure.dpi": DPI,
    "savefig.dpi": DPI,
    "savefig.facecolor": PAPER,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "lines.linewidth": 1.6,
    "lines.solid_capstyle": "round",
    "path.simplify": True,
    "svg.fonttype": "path",
    "svg.hashsalt": "sugarwright",  # else every SVG gets other ids
}
