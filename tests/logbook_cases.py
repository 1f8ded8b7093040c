"""Entries of an invented sugarhouse, for the tests of the logbook."""

from __future__ import annotations

from sugarwright.logbook.entry import Entry, Measure

MORNING_S = 1_804_568_400.0  # 2027-03-09 05:00Z, an invented spring


def reading(key: str, at_s: float = MORNING_S, **more: object) -> Entry:
    """A stick in the sap tank and a hydrometer, as typed."""
    measures = (
        Measure("depth", 0.3556, 0.004, "14 in", "stick"),
        Measure("brix", 1.9, typed="1.9", instrument="hydrometer"),
    )
    usual: dict[str, object] = {"place": "sap", "measures": measures, "made_s": at_s + 30.0}
    return Entry(key, "reading", at_s, **(usual | more))  # type: ignore[arg-type]


def note(key: str, at_s: float = MORNING_S, **more: object) -> Entry:
    """A note of a few words."""
    words = {"note": "the owls are back; première coulée"}
    usual: dict[str, object] = {"words": words, "made_s": at_s}
    return Entry(key, "note", at_s, **(usual | more))  # type: ignore[arg-type]
