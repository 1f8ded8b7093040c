"""What was learnt about the trees, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from sugarwright.cli.output import columns, wrapped

if TYPE_CHECKING:
    from sugarwright.learning.trees import TreeLesson
    from sugarwright.plant.tree_knowledge import TreeKnowledge

_EIGHTY = 1.2816  # standard deviations to each side of the middle 80 %
_SHAPES = {
    "flow_lag_h": "sap flows on after a thaw, hours",
    "ageing_half_k_h": "warmth that half closes a hole, C hours",
}


def lesson_lines(lesson: TreeLesson) -> Iterator[str]:
    """Yield what one season taught: before and after, how sure, and what to measure next."""
    before, after = lesson.before, lesson.after
    yield (
        f"Season {after.season}: {after.gatherings} gatherings, worth "
        f"{after.independent_gatherings:.1f} of runs of their own; {after.brix_readings} of Brix."
    )
    rows = [
        ("", "before", "now", "8 chances in 10"),
        ("sap per tap, against usual", *_scale(before)[:1], *_scale(after)),
        ("Brix of early sap", f"{before.sap_brix:.2f}", *_brix(after)),
    ]
    for shape in after.shapes:
        spread = math.exp(_EIGHTY * shape.sd_log)
        band = f"{shape.value / spread:.0f} to {shape.value * spread:.0f}"
        rows.append((_SHAPES[shape.name], "", f"{shape.value:.0f}", band))
    yield from (f"  {line}" for line in columns(rows))
    yield wrapped(_about_shapes(lesson), "  ")
    yield wrapped(
        "Learnt slowly on purpose: on the one open record we found, gatherings did not yet help to "
        "foretell the next ones (docs/sap-run.md). Tapping day, hours and flags written down help.",
        "  ",
    )
    gain = 100.0 * lesson.next_gain_fraction
    yield wrapped(
        f"What would teach most now: {lesson.next_reading} "
        f"(the spread of the sugar to come would shrink by {gain:.0f} %).",
        "  ",
    )
    yield from (wrapped(note, "  ") for note in lesson.notes)


def _scale(known: TreeKnowledge) -> tuple[str, str]:
    spread = math.exp(_EIGHTY * known.yield_sd_log)
    band = f"{known.yield_factor / spread:.2f} to {known.yield_factor * spread:.2f}"
    return f"{known.yield_factor:.2f}", band


def _brix(known: TreeKnowledge) -> tuple[str, str]:
    apart = _EIGHTY * known.sap_brix_sd
    return (
        f"{known.sap_brix:.2f}",
        f"{known.sap_brix - apart:.2f} to {known.sap_brix + apart:.2f}",
    )


def _about_shapes(lesson: TreeLesson) -> str:
    ratio = lesson.shape_evidence_ratio
    if ratio is None:
        return "How sap flows on after a thaw and when holes close: too few gatherings to tell."
    if not lesson.shapes_learnt:
        return (
            "How sap flows on after a thaw and when holes close: left as they were; the gatherings "
            f"are {ratio:.1f} times as likely with others, and 3 times are asked for."
        )
    times = min(ratio, 9999.0)
    return f"How sap flows on and when holes close was learnt too: {times:.0f} times likelier so."
