"""A filter run as bytes, so that the next one goes on from it; and whoever keeps such bytes."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from dataclasses import asdict, fields
from typing import Any

import numpy as np

from sugarwright.logbook.entry import Entry
from sugarwright.twin.doubt import Doubt
from sugarwright.twin.ensemble import Ensemble
from sugarwright.twin.hours_told import HoursTold
from sugarwright.twin.marks import STATE, StateStore
from sugarwright.twin.told import digest
from sugarwright.twin.track import Seen, Track

_PLACED = ("tree_hour", "run_hour", "told_drawn_m3", "flow_m3_s", "fire_word_s", "step", "sensors")
_ARRAYS = tuple(each.name for each in fields(Ensemble) if each.name not in _PLACED)


REACH_S = 16 * 86400.0  # of the weather kept beside a state: what its trees remember


def to_bytes(track: Track, mark: str, ordered: Sequence[Entry], told: HoursTold) -> bytes:
    """Put a track into bytes.

    Parameters
    ----------
    track : to be kept
    mark : of the house (:func:`house_mark`)
    ordered : the entries that it follows
    told : the weather that it was run through
    """
    lived = told.before(track.ensemble.time_s, REACH_S)
    arrays: dict[str, Any] = {"told": lived.air_c}
    meta = {
        "told_first_h": lived.first_h,
        "mark": mark,
        "digest": digest(ordered[: track.done]),
        "last_key": ordered[track.done - 1].key if track.done else "",
        "main": _laid_out(track, "main", arrays),
        "before": {
            key: _laid_out(way, f"before{n}", arrays)
            for n, (key, way) in enumerate(track.before.items())
        },
    }
    arrays["meta"] = np.frombuffer(json.dumps(meta).encode(), dtype=np.uint8)
    held = io.BytesIO()
    np.savez_compressed(held, **arrays)
    return held.getvalue()


def from_bytes(blob: bytes, mark: str, ordered: Sequence[Entry], told: HoursTold) -> Track | None:
    """Return the track in some bytes; None where house, entries or weather are no longer so."""
    try:
        with np.load(io.BytesIO(blob), allow_pickle=False) as arrays:
            meta = json.loads(arrays["meta"].tobytes())
            if meta["mark"] != mark:
                return None
            done = meta["main"]["done"]
            if done > len(ordered) or digest(ordered[:done]) != meta["digest"]:
                return None
            if done < len(ordered) and ordered[done].at_s < meta["main"]["heard"][0]:
                return None  # sensors led beyond what was typed in since
            if not HoursTold(meta["told_first_h"], np.array(arrays["told"])).holds(told):
                return None
            track = _track(meta["main"], "main", arrays)
            for n, (key, way) in enumerate(meta["before"].items()):
                track.before[key] = _track(way, f"before{n}", arrays)
            return track
    except (ValueError, KeyError, OSError, zipfile.BadZipFile):
        return None  # of another version, or damaged: the filter is run again


def newest_fitting(
    store: StateStore, mark: str, ordered: Sequence[Entry], told: HoursTold, now_s: float
) -> Track | None:
    """Return the newest kept track that nothing that came to be known since speaks against."""
    kept = store.state(STATE, now_s + 1.0)
    while kept is not None:
        time_s, blob = kept
        track = from_bytes(blob, mark, ordered, told)
        if track is not None:
            return track
        kept = store.state(STATE, time_s)
    return None


def _laid_out(track: Track, prefix: str, arrays: dict[str, Any]) -> dict[str, Any]:
    ensemble = track.ensemble
    for name in _ARRAYS:
        arrays[f"{prefix}-{name}"] = getattr(ensemble, name)
    return {
        "done": track.done,
        "seen": [[*name, *asdict(seen).values()] for name, seen in track.seen.items()],
        "doubts": [asdict(each) for each in track.doubts],
        "words": track.words,
        "believed": sorted(track.believed),
        "heard": track.heard,
        "astray": track.astray,
        "ensemble": {name: getattr(ensemble, name) for name in _PLACED},
    }


def _track(meta: dict[str, Any], prefix: str, arrays: Any) -> Track:
    found: dict[str, Any] = {name: np.array(arrays[f"{prefix}-{name}"]) for name in _ARRAYS}
    return Track(
        Ensemble(**found, **meta["ensemble"] | {"sensors": tuple(meta["ensemble"]["sensors"])}),
        meta["done"],
        {(row[0], row[1]): Seen(*row[2:]) for row in meta["seen"]},
        tuple(_doubt(each) for each in meta["doubts"]),
        meta["words"],
        {},
        frozenset(meta["believed"]),
        (meta["heard"][0], meta["heard"][1]),
        meta["astray"],
    )


def _doubt(raw: dict[str, Any]) -> Doubt:
    return Doubt(**{**raw, "measured": tuple(raw["measured"])})
