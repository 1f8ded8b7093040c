"""What is to be told of a fire: by the log, and by what its feed has become since."""

from __future__ import annotations

from sugarwright.twin.report import NowReport

NONE, BURNS, SHORT, SILENT, OLD = "none", "burns", "short", "silent", "old"
"""No fire; it burns; its feed is short; nothing is logged of it for long; not since yesterday."""
OLD_S = 18 * 3600.0  # a fire of which nobody said a word for so long was let go by all that burns


def fire_told(report: NowReport) -> str:
    """Return which of these a fire is. One of which nobody logged that it is out is never none."""
    pan, now_s = report.pan, report.now_s
    if pan.word_s is None:
        return BURNS if pan.fire_probability > 0.5 else NONE
    if now_s - pan.word_s > OLD_S:
        return OLD
    if pan.fire_probability <= 0.5:
        return SILENT
    return BURNS if short_since_s(report) is None else SHORT


def short_since_s(report: NowReport) -> float | None:
    """Return since when the feed of a fire is at its reserve or below, UTC s; None if it isn't."""
    reserve = report.pan.reserve
    if reserve is None or reserve.probability <= 0.5 or reserve.middle_s > report.now_s:
        return None
    return reserve.middle_s
