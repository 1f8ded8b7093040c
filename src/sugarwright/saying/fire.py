"""A fire that somebody must look at, in sentences: its feed is short, or nobody says a word."""

from __future__ import annotations

from dataclasses import dataclass

from sugarwright.planning.cautions import CAUTIONS
from sugarwright.saying.clock import clock_of
from sugarwright.saying.words import Words, sentence
from sugarwright.twin.fire_told import BURNS, NONE, OLD, SHORT, fire_told, short_since_s
from sugarwright.twin.report import NowReport

LOG_OUT = 'If it is out, log "fire out at ..." with its hour.'
HARDLY_ANY = 0.01  # of the feed that a burn-down takes
KEEP_WET = (
    "Look at the pan now. Keep liquid over its whole floor: let in what feed there is, then sap, "
    "permeate or clean water."
)


@dataclass(frozen=True)
class Alarm:
    """What stands above everything else.

    Parameters
    ----------
    title : in a few words
    texts : what to do, and what is known
    cautions : for whoever stands at the pan
    """

    title: str
    texts: tuple[str, ...]
    cautions: tuple[str, ...]


def fire_alarm(report: NowReport) -> Alarm | None:
    """Return what stands above everything else of a fire; None where there is no need."""
    told = fire_told(report)
    if told in (NONE, BURNS, OLD):
        return None
    cautions = (CAUTIONS["fire"], CAUTIONS["burn-down"])
    known = f"{sentence(lit_text(report))}. {LOG_OUT}"
    if told == SHORT:
        return Alarm(f"No more wood: {_feed_text(report)}", (KEEP_WET, known), cautions)
    return Alarm("Look at the pan: is the fire out?", (known,), cautions)


def _feed_text(report: NowReport) -> str:
    """Return what feed there is, and what the burn-down takes."""
    pan, words = report.pan, _words(report)
    held_m3 = next((t.volume_m3.middle for t in report.tanks if t.place == pan.feed), 0.0)
    needs = words.volume(pan.reserve_m3, 0)
    if held_m3 < HARDLY_ANY * pan.reserve_m3:
        return f"the feed is used up, the burn-down takes about {needs}"
    digits = 1 if held_m3 < 0.5 * pan.reserve_m3 else 0
    holds = words.volume(min(held_m3, pan.reserve_m3), digits)
    return f"the feed is down to {holds}, the burn-down takes about {needs}"


def lit_text(report: NowReport) -> str:
    """Return since when a fire is lit that nobody logged to be out, and what is known of it."""
    pan = report.pan
    said_s = pan.word_s if pan.word_s is not None else report.now_s
    lit_s = pan.lit_s if pan.lit_s is not None and pan.lit_s <= said_s else said_s
    nothing = "nothing logged of it since"
    if said_s - lit_s >= 60.0:
        nothing += f" {clock_of(report, said_s)}"
    told = f"lit since {clock_of(report, lit_s)}, and {nothing}"
    short_s = short_since_s(report)
    if short_s is None:
        return told
    return (
        f"{told}; by the log its feed is below the reserve since about {clock_of(report, short_s)}"
    )


def last_wood_text(report: NowReport) -> str:
    """Return by when the last wood goes on a fire that burns; nothing while that is not known."""
    reserve = report.pan.reserve
    if reserve is None or reserve.probability <= 0.5 or fire_told(report) != BURNS:
        return ""
    clock = clock_of(report, reserve.middle_s)
    return f"The feed is down to its reserve about {clock}: last wood before that."


def fire_warnings(report: NowReport) -> list[str]:
    """Return the alarm of a fire as lines of a text."""
    alarm = fire_alarm(report)
    if alarm is None:
        return []
    end = "" if alarm.title.endswith("?") else "."
    return [f"{alarm.title}{end}", *alarm.texts, *alarm.cautions]


def _words(report: NowReport) -> Words:
    return Words(report.timezone, report.units)
