"""Follow the logbook: run to each entry, correct by what was read, question what cannot be."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sugarwright.logbook.entry import Entry
from sugarwright.plant.tank_kernel import Floats
from sugarwright.twin.advance import advance
from sugarwright.twin.contents import tanks_of
from sugarwright.twin.correct import correct, reset
from sugarwright.twin.doubt import (
    BELIEVED,
    REFUTED,
    Doubt,
    impossible,
    is_far,
    question,
)
from sugarwright.twin.ensemble import Ensemble, Ground, begin, step_of
from sugarwright.twin.hearing import hear
from sugarwright.twin.marks import PAN_READ
from sugarwright.twin.observe import predicted
from sugarwright.twin.sensed import place_of
from sugarwright.twin.told import DONE, Reading, dice, readings_of
from sugarwright.twin.way import Seen, Track

PENDING_S = 3 * 86400.0  # a questioned reading that nobody took up again is let rest
WITNESS_S = 3600.0  # a sensor that is itself doubted speaks for what a person read so lately
Progress = Callable[[int, int], None]


def start(ground: Ground, first_s: float) -> Track:
    """Return a track before the first entry, or, without any, before now."""
    return Track(begin(ground, first_s))


@dataclass(frozen=True)
class _Log:
    """What there is to follow: what people typed, and what sensors said beside."""

    typed: Sequence[Entry]
    sensed: Sequence[Entry]

    def after(self, track: Track, until: Track | None = None) -> Entry | None:
        """Return what comes next on a way, or on the way to another one."""
        more = track.done < (len(self.typed) if until is None else until.done)
        typed = self.typed[track.done] if more else None
        k = bisect_right(self.sensed, track.heard, key=place_of)
        sensed = self.sensed[k] if k < len(self.sensed) else None
        if sensed is not None and until is not None and place_of(sensed) > until.heard:
            sensed = None
        if typed is None or (sensed is not None and sensed.at_s < typed.at_s):
            return sensed
        return typed


def follow(
    ground: Ground,
    track: Track,
    ordered: Sequence[Entry],
    progress: Progress | None = None,
    pause: Callable[[Track], None] | None = None,
    sensed: Sequence[Entry] = (),
) -> Track:
    """Follow the entries that a track has not followed yet.

    Parameters
    ----------
    ground : what the twin stands on
    track : so far; it is moved on
    ordered : all entries (:func:`~sugarwright.twin.told.in_order`)
    progress : told how many of how many are done
    pause : called after each entry, to keep what is worth keeping
    sensed : what sensors said (:class:`~sugarwright.twin.sensed.Sensed`), from the track's own time
        and that of each way back of it

    Returns
    -------
    The track that leads on: another one where a questioned reading came to be believed.
    """
    log = _Log(ordered, sensed)
    total = len(ordered) + len(sensed)
    while (entry := log.after(track)) is not None:
        track = _one(ground, track, log, entry, second_thoughts=True)
        if progress is not None:
            progress(track.done + bisect_right(sensed, track.heard, key=place_of), total)
        if pause is not None:
            pause(track)
    return track


def _one(ground: Ground, track: Track, log: _Log, entry: Entry, *, second_thoughts: bool) -> Track:
    """Follow one entry: what was read of what is about to move, then the deed, then the rest."""
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
    _hear_of_fire(track, entry)
    if entry.source == "sensor":
        track.heard = place_of(entry)
    else:
        track.done += 1
    _let_rest(track, entry.at_s)
    if before is not None:
        for reading in doubted:
            track = _second_thoughts(ground, track, before, log, reading)
    return track


def _hear_of_fire(track: Track, entry: Entry) -> None:
    """Take a reading of the pan for a word of a fire that burns: somebody stood there."""
    if (entry.kind, entry.place) == ("reading", "pan") and entry.source != "sensor":
        track.words[PAN_READ] = entry.at_s
        if track.ensemble.fire_word_s is not None:
            track.ensemble.fire_word_s = entry.at_s


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
    if reading.sensor:
        return _hear(ground, track, reading, prior)
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


def _hear(ground: Ground, track: Track, reading: Reading, held: Floats) -> bool:
    """Correct by what a sensor said; return False where that is far from what was foretold."""
    was_astray = reading.sensor in track.astray
    rate = _rates_m3_s(ground, track.ensemble, reading) if reading.quantity == "volume" else 0.0
    used = hear(ground, track, reading, held, rate)
    if used:
        _settle_by(track, reading)
    elif used is False and not was_astray:  # one doubt, however long it goes on
        doubt = question(reading, held, {})
        track.doubts = (*track.doubts, doubt)
    return used is not False


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
    ground: Ground, track: Track, before: Track, log: _Log, reading: Reading
) -> Track:
    """Ask of a doubted reading whether it agrees with a doubted one before it.

    If it does, the first was right after all: the twin goes back to just before it, believes it,
    and comes on again by way of everything since. What was once believed stays so.
    """
    if impossible(reading):
        return track
    for doubt in reversed([each for each in track.doubts if _may_bear_out(track, reading, each)]):
        again = track.before[doubt.key].copy()
        again.believed = again.believed | {doubt.key} | track.believed
        while (entry := log.after(again, until=track)) is not None:
            again = _one(ground, again, log, entry, second_thoughts=False)
        if not _is_doubted(again, reading):
            return _convinced(again, track, doubt)
    if any(each.key == reading.key for each in track.doubts):
        track.before[reading.key] = before
    return track


def _may_bear_out(track: Track, reading: Reading, doubt: Doubt) -> bool:
    """Tell whether a reading is a witness of a doubted one; a sensor is none of its own."""
    if doubt.name != reading.name or doubt.key not in track.before:
        return False
    if not reading.sensor:
        return True
    is_first = any(each.key == reading.key for each in track.doubts)
    lately = reading.at_s - doubt.at_s <= WITNESS_S  # each one that goes on would cost a replay
    return doubt.sensor != reading.sensor and (is_first or lately)


def _is_doubted(track: Track, reading: Reading) -> bool:
    if reading.sensor:
        return track.astray.get(reading.sensor) == 0
    return bool(track.doubts) and track.doubts[-1].key == reading.key


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
