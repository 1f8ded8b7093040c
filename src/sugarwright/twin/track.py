"""Follow the logbook: run to each entry, correct by what was read, question what cannot be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from sugarwright.logbook.entry import Entry
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.advance import advance
from sugarwright.twin.contents import tanks_of
from sugarwright.twin.correct import correct, reset
from sugarwright.twin.doubt import (
    BELIEVED,
    OPEN,
    REFUTED,
    Doubt,
    impossible,
    is_far,
    question,
)
from sugarwright.twin.ensemble import Ensemble, Ground, begin, step_of
from sugarwright.twin.observe import predicted
from sugarwright.twin.told import DONE, Reading, dice, in_order, readings_of

PENDING_S = 3 * 86400.0  # a questioned reading that nobody took up again is let rest
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Seen:
    """The last reading of something that was believed.

    Parameters
    ----------
    at_s : UTC s
    value : in SI
    measured : quantity of the logbook: "depth" where a stick was read
    typed : as it was written
    """

    at_s: float
    value: float
    measured: str
    typed: str


@dataclass(eq=False)
class Track:
    """How far the logbook was followed, and where that leads.

    Parameters
    ----------
    ensemble : where the members stand
    done : entries followed, of all in their order
    seen : last believed reading of each name
    doubts : questioned readings, oldest first
    words : last time of each kind of deed, by kind
    before : the track as it was just before each open doubt, to go back to
    believed : keys of readings that were questioned and are believed
    """

    ensemble: Ensemble
    done: int = 0
    seen: dict[tuple[str, str], Seen] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    words: dict[str, float] = field(default_factory=dict)
    before: dict[str, Track] = field(default_factory=dict)
    believed: frozenset[str] = frozenset()

    def copy(self) -> Track:
        """Return one that can go another way."""
        return replace(
            self, ensemble=self.ensemble.copy(), seen=dict(self.seen), words=dict(self.words),
            before=dict(self.before),
        )  # fmt: skip

    def open_doubt(self, name: tuple[str, str]) -> Doubt | None:
        """Return the doubt of a name that still waits for a second reading."""
        of_it = (each for each in reversed(self.doubts) if each.name == name)
        return next((each for each in of_it if each.state == OPEN), None)

    def settle(self, key: str, state: str) -> None:
        """Close a doubt."""
        self.doubts = tuple(each.now(state) if each.key == key else each for each in self.doubts)
        self.before.pop(key, None)


def start(ground: Ground, entries: Sequence[Entry], now_s: float) -> Track:
    """Return a track before the first entry; without any, before now."""
    ordered = in_order(entries, now_s)
    return Track(begin(ground, ordered[0].at_s if ordered else now_s))


def follow(
    ground: Ground,
    track: Track,
    ordered: Sequence[Entry],
    progress: Progress | None = None,
    pause: Callable[[Track], None] | None = None,
) -> Track:
    """Follow the entries that a track has not followed yet.

    Parameters
    ----------
    ground : what the twin stands on
    track : so far; it is moved on
    ordered : all entries (:func:`~sugarwright.twin.told.in_order`)
    progress : told how many of how many are done
    pause : called after each entry, to keep what is worth keeping

    Returns
    -------
    The track that leads on: another one where a questioned reading came to be believed.
    """
    while track.done < len(ordered):
        track = _one(ground, track, ordered, second_thoughts=True)
        if progress is not None:
            progress(track.done, len(ordered))
        if pause is not None:
            pause(track)
    return track


def _one(ground: Ground, track: Track, ordered: Sequence[Entry], *, second_thoughts: bool) -> Track:
    """Follow one entry: what was read of what is about to move, then the deed, then the rest."""
    entry = ordered[track.done]
    before = track.copy() if second_thoughts else None
    readings = readings_of(ground.plant.house, entry)
    first = [each for each in readings if entry.kind == "gather"]
    if first or entry.kind not in DONE:
        advance(ground, track.ensemble, step_of(entry.at_s))
    doubted = [each for each in first if not _take(ground, track, each)]
    if entry.kind in DONE:
        advance(ground, track.ensemble, step_of(entry.at_s), entry)
        track.words[entry.kind] = entry.at_s
    _after_gathering(ground, track, entry)
    doubted += [each for each in readings if not first and not _take(ground, track, each)]
    track.done += 1
    _let_rest(track, entry.at_s)
    if before is not None:
        for reading in doubted:
            track = _second_thoughts(ground, track, before, ordered, reading)
    return track


def _after_gathering(ground: Ground, track: Track, entry: Entry) -> None:
    """Begin anew to add up what comes to a point that was gathered."""
    if entry.kind != "gather":
        return
    house = ground.plant.house
    for g, each in enumerate(house.gathering):
        if entry.place == f"gathering:{each.name}" or len(house.gathering) == 1:
            track.ensemble.come_m3[:, g] = 0.0


def _take(ground: Ground, track: Track, reading: Reading) -> bool:
    """Correct by a reading; return False where it is questioned instead."""
    ensemble = track.ensemble
    prior = predicted(ground, ensemble, reading)
    if prior is None:
        return True
    source = dice(ground.seed, reading.key, reading.quantity)
    if reading.quantity == "drawn":
        reading = _added_up(ensemble, reading)
    if reading.key in track.believed:
        reset(ground, ensemble, reading.name, reading.value, reading.sd, source)
    elif impossible(reading) or is_far(reading, prior):
        doubt = question(reading, prior, _elsewhere(ground, track, reading))
        track.doubts = (*track.doubts, doubt)
        return False
    else:
        sd = _with_clock(ground, ensemble, reading, prior)
        correct(ground, ensemble, reading.name, prior, reading.value, sd, reading.allowed, source)
    _settle_by(track, reading)
    track.seen[reading.name] = Seen(
        reading.at_s, reading.value, reading.measure.quantity, reading.measure.typed
    )
    return True


def _settle_by(track: Track, reading: Reading) -> None:
    """A reading that is believed speaks against a doubted one of the same name before it."""
    doubt = track.open_doubt(reading.name)
    if doubt is not None and reading.key != doubt.key:
        track.settle(doubt.key, REFUTED)


def _added_up(ensemble: Ensemble, reading: Reading) -> Reading:
    """Draws are told one by one; what counts is their sum since the fire was lit."""
    ensemble.told_drawn_m3 += reading.value
    one_draw_m3 = reading.value
    sd = (reading.sd**2 + (0.5 * one_draw_m3) ** 2) ** 0.5  # a draw comes as a whole
    return replace(reading, value=ensemble.told_drawn_m3, sd=sd)


def _with_clock(ground: Ground, ensemble: Ensemble, reading: Reading, prior: Floats) -> float:
    """Return the reading's uncertainty with that of its clock: a tank that fills is read late."""
    if reading.quantity != "volume" or ground.spreads.read_s == 0.0:
        return reading.sd
    rates = _rates_m3_s(ground, ensemble, reading)
    return float((reading.sd**2 + (rates * ground.spreads.read_s) ** 2) ** 0.5)


def _rates_m3_s(ground: Ground, ensemble: Ensemble, reading: Reading) -> float:
    """Return how fast the tank's level moves now, in the middle of the members."""
    import numpy as np

    trial = ensemble.copy()
    advance(ground, trial, trial.step + 1)
    after = predicted(ground, trial, reading)
    before = predicted(ground, ensemble, reading)
    if after is None or before is None:
        return 0.0
    return float(np.median(np.abs(after - before))) / 300.0


def _elsewhere(ground: Ground, track: Track, reading: Reading) -> dict[str, tuple[Floats, float]]:
    """Return what is foretold of the same quantity in the house's other tanks."""
    found: dict[str, tuple[Floats, float]] = {}
    for place, (_, rim_m3) in tanks_of(ground.plant).items():
        if place == reading.place or reading.quantity not in ("volume", "brix"):
            continue
        values = predicted(ground, track.ensemble, replace(reading, place=place))
        if values is not None:
            found[place] = (values, rim_m3 if reading.quantity == "volume" else 100.0)
    return found


def _let_rest(track: Track, now_s: float) -> None:
    for key in [
        d.key for d in track.doubts if d.key in track.before and now_s > d.at_s + PENDING_S
    ]:
        track.before.pop(key)


def _second_thoughts(
    ground: Ground, track: Track, before: Track, ordered: Sequence[Entry], reading: Reading
) -> Track:
    """Ask of a doubted reading whether it agrees with a doubted one before it.

    If it does, the first was right after all: the twin goes back to just before it, believes it,
    and comes on again by way of everything since. What was once believed stays so.
    """
    if impossible(reading):
        return track
    earlier = [d for d in track.doubts if d.name == reading.name and d.key in track.before]
    for doubt in reversed(earlier):
        again = track.before[doubt.key].copy()
        again.believed = again.believed | {doubt.key} | track.believed
        while again.done < track.done:
            again = _one(ground, again, ordered, second_thoughts=False)
        newly = again.doubts[-1:] and again.doubts[-1].key == reading.key
        if not newly:
            return _convinced(again, track, doubt)
    track.before[reading.key] = before
    return track


def _convinced(again: Track, track: Track, doubt: Doubt) -> Track:
    """Go on by the way that believed, with every other doubt's way back."""
    told = {each.key for each in again.doubts}
    again.doubts = tuple(
        sorted((*again.doubts, doubt.now(BELIEVED)), key=lambda each: each.at_s)
        if doubt.key not in told
        else again.doubts
    )
    again.before = {
        key: way for key, way in track.before.items() if key in told and key != doubt.key
    }
    return again


__all__ = ["Progress", "Seen", "Track", "follow", "start"]
