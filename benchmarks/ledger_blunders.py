"""How often the ledger finds a blunder, and how often it cries wolf, in seasons that are known.

    python benchmarks/ledger_blunders.py [--seasons 500] [--seed 7] [--out FILE]

Into each season one blunder of a kind that people make is planted, into an entry drawn by chance
among those in which the readings there are would show it 95 times in 100 by theory (the power of
the test at the size of the blunder). Results are kept line by line in FILE and gone on with after
a stop. ``--table`` writes the table of docs/ledger.md.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ledger_worlds import World, worlds
from machine import describe
from sugarwright.errors import RangeError
from sugarwright.ledger.chance import power, shared_limit
from sugarwright.ledger.doubts import Hypotheses, first_doubt, hypotheses
from sugarwright.ledger.fit import Fit, fit_season
from sugarwright.ledger.slips import value_of
from sugarwright.ledger.timeline import lay_out
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.logbook.meaning import tank_at
from sugarwright.physics.hydrometer import hydrometer_reading_brix
from sugarwright.units import BRIX, LENGTH, VOLUME, parse

POWER = 0.95
FOLDER = Path(__file__).parent / "ledger"
PAGE = Path(__file__).parent.parent / "docs" / "ledger.md"
BEGIN, END = "<!-- blunders: begin -->", "<!-- blunders: end -->"
_KINDS = {"volume": VOLUME, "depth": LENGTH, "brix": BRIX}


@dataclass(frozen=True)
class Planted:
    """A blunder.

    Parameters
    ----------
    kind : which
    key : of the entry that is wrong, left out or repeated
    quantity : "volume" or "brix"
    place, period : of a forgotten entry
    shift : by how much the ledger's number is off, m³ or Brix
    entries : the season with it
    """

    kind: str
    key: str
    quantity: str
    place: str
    shift: float
    entries: tuple[Entry, ...]


def main() -> None:
    """Run what is missing, and print the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--seasons", type=int, default=500)
    words.add_argument("--seed", type=int, default=7)
    words.add_argument("--out", type=Path, default=FOLDER / "blunders.jsonl")
    words.add_argument("--table", action="store_true", help="write it into docs/ledger.md")
    asked = words.parse_args()
    asked.out.parent.mkdir(exist_ok=True)
    done = [json.loads(line) for line in asked.out.read_text().splitlines()] if (
        asked.out.exists()
    ) else []  # fmt: skip
    have = {each["season"] for each in done if each["seed"] == asked.seed}
    with asked.out.open("a", encoding="utf-8") as file:
        for number, world in enumerate(worlds(asked.seasons, asked.seed)):
            if number in have:
                continue
            found = study(world, number, asked.seed)
            done.append(found)
            file.write(json.dumps(found) + "\n")
            file.flush()
    rows = [each for each in done if each["seed"] == asked.seed and each["season"] < asked.seasons]
    text = "\n".join(table(rows))
    print(text)
    if asked.table:
        page = PAGE.read_text(encoding="utf-8")
        before, rest = page.split(BEGIN)
        after = rest.split(END)[1]
        PAGE.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8", newline="\n")


def study(world: World, number: int, seed: int) -> dict[str, object]:
    """Look at a season as it is, then with a blunder in it."""
    draw = np.random.default_rng([seed, number, 1])
    begun = time.perf_counter()
    clean = fit_season(world.house, lay_out(world.house, world.entries, None, None))
    alarm = first_doubt(world.house, clean) is not None
    took_s = time.perf_counter() - begun
    have = hypotheses(clean)
    found: dict[str, object] = {
        "season": number, "seed": seed, "alarm": alarm, "seconds": round(took_s, 3),
        "entries": len(world.entries), "readings": len(clean.statements),
        "five_sigma_hidden": hidden(clean),
    }  # fmt: skip
    planted = plant(world, clean, have, draw)
    if planted is None:
        return found
    begun = time.perf_counter()
    fit = fit_season(world.house, lay_out(world.house, planted.entries, None, None))
    doubt = first_doubt(world.house, fit)
    suspects = () if doubt is None else doubt[0].suspects
    hits = [each for each in suspects if _is_it(each, planted, world)]
    return found | {
        "kind": planted.kind,
        "quantity": planted.quantity,
        "place": planted.place,
        "seconds_with": round(time.perf_counter() - begun, 3),
        "flagged": doubt is not None,
        "named": bool(hits) and len(suspects) <= 2,
        "in_set": bool(hits),
        "set": len(suspects),
        "slip": [each.slip.kind for each in hits if each.slip is not None],
    }


def hidden(fit: Fit) -> float:
    """Share of all readings in which no method would find an error of five deviations.

    So little of it shows against the others that even a test of this one reading alone, at 5 %,
    would miss it more often than not.
    """
    lengths = np.sqrt((fit.of_statement**2).sum(axis=0))
    read = [i for i, each in enumerate(fit.statements) if each.kind == "reading"]
    return sum(power(5.0 * lengths[i], shared_limit(1, 0.05)) < 0.5 for i in read) / len(read)


def plant(world: World, clean: Fit, have: Hypotheses, draw: np.random.Generator) -> Planted | None:
    """Plant one blunder where theory finds it; None when no kind fits in fifty tries."""
    lengths = np.sqrt((clean.of_statement**2).sum(axis=0))
    makers: Sequence[Callable[[World, Fit, np.random.Generator], Planted | None]] = MAKERS
    order = draw.permutation(len(makers))
    for turn in range(400):
        made = makers[order[turn % len(makers) if turn >= 60 else 0]](world, clean, draw)
        if made is None:
            continue
        index = _statement(clean, made)
        if index is None:
            continue
        shown = abs(made.shift) / clean.statements[index].sd * lengths[index]
        if power(shown, have.limit) >= POWER:
            return made
    return None


def _statement(fit: Fit, planted: Planted) -> int | None:
    """Return the statement that the blunder moves."""
    for number, each in enumerate(fit.statements):
        keys = {item.entry.key for item in each.items}
        if planted.key in keys and each.quantity == planted.quantity:
            return number
    return None


def _is_it(suspect: object, planted: Planted, world: World) -> bool:
    from sugarwright.ledger.doubts import Suspect

    assert isinstance(suspect, Suspect)
    if planted.kind == "forgotten":
        entry = next(each for each in world.entries if each.key == planted.key)
        inside = suspect.begin_s <= entry.at_s <= suspect.at_s
        return suspect.what == "unseen" and inside and suspect.place == planted.place
    twin = planted.kind == "entered twice" and f"{planted.key}twice" in suspect.keys
    return (
        suspect.what == "reading"
        and suspect.quantity == planted.quantity
        and (planted.key in suspect.keys or twin)
    )


def _retyped(
    world: World, kind: str, wanted: Sequence[str], draw: np.random.Generator,
    retype: Callable[[str, str], str | None],
) -> Planted | None:  # fmt: skip
    """Plant a slip of typing into an entry drawn by chance."""
    entry, measure = _any(world, wanted, draw)
    digits, _, unit = measure.typed.partition(" ")
    text = retype(digits, unit)
    if text is None or text == measure.typed:
        return None
    try:
        changed = replace(measure, typed=text, value=parse(text, _KINDS[measure.quantity]))
    except RangeError:  # the logbook would not have taken it
        return None
    return _changed(world, kind, entry, measure, replace(
        entry, measures=tuple(changed if each is measure else each for each in entry.measures)
    ))  # fmt: skip


def _changed(world: World, kind: str, entry: Entry, measure: Measure, new: Entry) -> Planted | None:
    quantity = "brix" if measure.quantity == "brix" else "volume"
    before = value_of(world.house, entry, quantity)
    after = value_of(world.house, new, quantity)
    if before is None or after is None:
        return None
    entries = tuple(new if each is entry else each for each in world.entries)
    return Planted(kind, entry.key, quantity, entry.place, after - before, entries)


def _any(world: World, wanted: Sequence[str], draw: np.random.Generator) -> tuple[Entry, Measure]:
    """Draw an entry that holds one of the quantities wanted."""
    have = [
        (entry, measure)
        for entry in world.entries
        for measure in entry.measures
        if measure.quantity in wanted and measure.typed
    ]
    return have[int(draw.integers(len(have)))]


def litres_for_gallons(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """So many litres were poured, and typed as gallons."""

    def retype(digits: str, unit: str) -> str | None:
        litres = float(digits) * 3.785411784
        return f"{litres:.0f} gal" if litres >= 10 else f"{litres:.1f} gal"

    return _retyped(world, "other unit", ("volume",), draw, retype)


def centimetres_for_inches(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """The stick was read in centimetres, and typed as inches; or the other way round."""

    def retype(digits: str, unit: str) -> str | None:
        return f"{float(digits) * 2.54:.1f} in" if draw.random() < 0.5 else f"{digits} cm"

    return _retyped(world, "other unit", ("depth",), draw, retype)


def digits_swapped(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """Two digits change places."""

    def retype(digits: str, unit: str) -> str | None:
        places = [place for place, each in enumerate(digits) if each != "."]
        if len(places) < 2:
            return None
        at = int(draw.integers(len(places) - 1))
        text = list(digits)
        text[places[at]], text[places[at + 1]] = text[places[at + 1]], text[places[at]]
        return f"{''.join(text)} {unit}".strip()

    return _retyped(world, "digits swapped", ("volume", "depth", "brix"), draw, retype)


def digit_dropped(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """A digit is left out."""

    def retype(digits: str, unit: str) -> str | None:
        places = [place for place, each in enumerate(digits) if each != "."]
        if len(places) < 2:
            return None
        at = places[int(draw.integers(len(places)))]
        text = digits[:at] + digits[at + 1 :]
        return f"{text} {unit}".strip() if text.strip(".") else None

    return _retyped(world, "digit left out", ("volume", "depth", "brix"), draw, retype)


def point_moved(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """The decimal point is in the wrong place."""

    def retype(digits: str, unit: str) -> str | None:
        number = float(digits) * (10.0 if draw.random() < 0.5 else 0.1)
        return f"{number:.4g} {unit}".strip()

    return _retyped(world, "decimal point", ("volume", "depth", "brix"), draw, retype)


def read_hot(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """A hydrometer read in hot concentrate or syrup, at 25 to 90 °C, and not corrected."""
    entry, measure = _any(world, ("brix",), draw)
    try:
        shown = hydrometer_reading_brix(measure.value, float(draw.uniform(25.0, 90.0)), 15.556)
    except RangeError:  # below the end of the scale
        return None
    text = f"{shown:.1f}"
    changed = replace(measure, value=float(text), typed=text)
    new = replace(
        entry, measures=tuple(changed if each is measure else each for each in entry.measures)
    )
    return _changed(world, "read hot", entry, measure, new)


def wrong_tank(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """The level of one tank was written down for another."""
    entry, measure = _any(world, ("depth",), draw)
    others = [
        each
        for each in world.entries
        if each.kind == "reading" and each.measure("depth") and each.place != entry.place
        and abs(each.at_s - entry.at_s) < 600.0 and tank_at(world.house, each.place) is not None
    ]  # fmt: skip
    if not others:
        return None
    other = others[int(draw.integers(len(others)))].measure("depth")
    assert other is not None
    new = replace(entry, measures=(other, *(m for m in entry.measures if m is not measure)))
    return _changed(world, "wrong tank", entry, measure, new)


def entered_twice(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """A gathering, a draw or a rinse stands twice in the book."""
    entry, measure = _any(world, ("volume",), draw)
    twin = replace(entry, key=f"{entry.key}twice", made_s=entry.made_s + 300.0)
    entries = (*world.entries, twin)
    return Planted("entered twice", entry.key, "volume", entry.place, measure.value, entries)


def forgotten(world: World, _: Fit, draw: np.random.Generator) -> Planted | None:
    """A gathering or a rinse was never entered."""
    entry, measure = _any(world, ("volume",), draw)
    if entry.kind not in ("gather", "rinse"):
        return None
    place = "sap" if entry.kind == "gather" else "permeate"
    left = tuple(each for each in world.entries if each is not entry)
    return Planted("forgotten", entry.key, "volume", place, measure.value, left)


MAKERS = (
    litres_for_gallons, centimetres_for_inches, digits_swapped, digit_dropped, point_moved,
    read_hot, wrong_tank, entered_twice, forgotten,
)  # fmt: skip


def table(rows: Sequence[dict[str, object]]) -> list[str]:
    """Return the table as Markdown."""
    planted = [each for each in rows if "kind" in each]
    kinds = sorted({str(each["kind"]) for each in planted})
    lines = [
        "| blunder | seasons | noticed | named first, alone or one of two | with its slip |",
        "|---|---:|---:|---:|---:|",
    ]
    for kind in [*kinds, "all"]:
        some = [each for each in planted if kind in ("all", each["kind"])]
        noticed = sum(bool(each["flagged"]) for each in some)
        named = sum(bool(each["named"]) for each in some)
        slip = sum(str(each["kind"]) in list(each["slip"]) for each in some)  # type: ignore[call-overload]  # a list
        told = "–" if kind in ("forgotten", "all") else f"{slip}"
        lines.append(f"| {kind} | {len(some)} | {noticed} | {named} | {told} |")
    count, alarms = len(rows), sum(bool(each["alarm"]) for each in rows)
    share = 100.0 * float(np.mean([float(str(each["five_sigma_hidden"])) for each in rows]))
    seconds = [float(str(each["seconds"])) for each in rows]
    per_cent = 100.0 * sum(bool(each["named"]) for each in planted) / max(len(planted), 1)
    return [
        *lines,
        "",
        f"{per_cent:.1f} % named. Seasons with nothing wrong in which something was doubted: "
        f"{alarms} of {count} ({100.0 * alarms / count:.1f} %). Readings in which an error of "
        f"five standard deviations no method could find, for want of others to hold it "
        f"against: {share:.0f} %. A season's ledger took {np.median(seconds):.2f} s (median; "
        f"least {min(seconds):.2f} s) on {describe()}.",
    ]


if __name__ == "__main__":
    main()
