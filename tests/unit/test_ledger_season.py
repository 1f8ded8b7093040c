"""The ledger of a season: it balances, and a slip planted in it is named with its correction."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ledger_seasons import DAYS, changed, entry, house, season
from sugarwright.cli.ledger_doubt_text import correction
from sugarwright.cli.ledger_text import ledger_lines
from sugarwright.ledger.season_ledger import SeasonLedger, season_ledger
from sugarwright.logbook.entry import Entry, Measure
from sugarwright.physics.hydrometer import hydrometer_reading_brix
from sugarwright.plant.house import House
from sugarwright.units import LENGTH, VOLUME, parse


def ledger(entries: tuple[Entry, ...], of: House | None = None) -> SeasonLedger:
    return season_ledger(of or house(), entries)


def typed(key: str, quantity: str, text: str) -> tuple[Entry, ...]:
    kind = LENGTH if quantity == "depth" else VOLUME
    value = float(text) if quantity == "brix" else parse(text, kind)
    return changed(key, quantity, value, text)


def named(found: SeasonLedger, key: str) -> str:
    """Return the slip named first for an entry; at most two may be named."""
    assert found.doubts, "nothing was doubted"
    suspects = found.doubts[0].suspects
    assert len(suspects) <= 2, suspects
    mine = [each for each in suspects if key in each.keys]
    assert mine, suspects
    return mine[0].slip.kind if mine[0].slip else ""


def test_a_season_without_a_fault_is_not_doubted_and_adds_up() -> None:
    found = ledger(season())
    assert found.doubts == ()
    assert found.checks > 50
    assert found.account is not None
    came = sum(each.sugar_kg for each in found.account.came)
    went = sum(each.sugar_kg for each in found.account.went)
    assert came == pytest.approx(went, rel=1e-9)


def test_what_is_reckoned_holds_what_was() -> None:
    """Known sums of the invented season, each within its own 95 %."""
    sap_kg = [900.0 + 40.0 * (day % 4) for day in range(DAYS)]
    sugar_kg = sum(m * (1.9 + 0.05 * (day % 3)) / 100.0 for day, m in enumerate(sap_kg))
    account = ledger(season()).account
    assert account is not None
    gathered = next(each for each in account.flows if each.name == "gathered")
    assert abs(gathered.sugar_kg - sugar_kg) < 1.96 * gathered.sugar_sd_kg
    syrup = next(each for each in account.flows if each.name == "syrup")
    assert syrup.brix == pytest.approx(66.9, abs=0.1)
    assert account.ratio.balance_ratio is not None
    assert account.ratio.sap_by_syrup_ratio == pytest.approx(account.ratio.balance_ratio, rel=0.06)


def test_litres_typed_as_gallons() -> None:
    key = entry("gather", "gathering:north", 4).key
    measure = entry("gather", "gathering:north", 4).measure("volume")
    assert measure is not None
    text = f"{measure.value * 1000.0:.0f} gal"
    found = ledger(typed(key, "volume", text))
    assert named(found, key) == "other unit"


@pytest.mark.parametrize(
    ("number", "made", "slip"),
    [
        (5, lambda text: f"{float(text) * 10:.1f}", "decimal point"),
        (5, lambda text: text[1] + text[0] + text[2:], "digits swapped"),
        (5, lambda text: text[0] + text[2:], "digit left out"),
    ],
)
def test_a_slip_of_typing(number: int, made, slip: str) -> None:  # type: ignore[no-untyped-def]
    old = entry("gather", "gathering:north", number)
    measure = old.measure("volume")
    assert measure is not None
    text = f"{made(measure.typed.split()[0])} gal"
    found = ledger(typed(old.key, "volume", text))
    assert named(found, old.key) == slip


def test_inches_read_as_centimetres() -> None:
    old = entry("reading", "stock", 7)
    measure = old.measure("depth")
    assert measure is not None
    text = f"{measure.typed.split()[0]} cm"
    found = ledger(typed(old.key, "depth", text))
    assert named(found, old.key) == "other unit"


def test_the_stick_of_another_tank() -> None:
    old, other = entry("reading", "stock", 7), entry("reading", "permeate", 7)
    depth = other.measure("depth")
    assert depth is not None
    found = ledger(changed(old.key, "depth", depth.value, depth.typed))
    assert named(found, old.key) == "wrong tank"


def test_syrup_tested_hot() -> None:
    old = entry("draw", "pan", 4)
    shown = hydrometer_reading_brix(66.9, 85.0, 15.556)
    found = ledger(typed(old.key, "brix", f"{shown:.1f}"))
    assert named(found, old.key) == "read hot"


def test_a_gathering_entered_twice() -> None:
    old = entry("gather", "gathering:north", 3)
    twin = replace(old, key="twin", made_s=old.made_s + 60.0)
    found = ledger((*season(), twin))
    suspects = found.doubts[0].suspects
    assert {key for each in suspects for key in each.keys} <= {old.key, "twin"}
    assert all(each.slip is not None and each.slip.kind == "entered twice" for each in suspects)


def test_a_gathering_never_entered() -> None:
    old = entry("gather", "gathering:north", 3)
    found = ledger(tuple(each for each in season() if each is not old))
    suspect = found.doubts[0].suspects[0]
    assert (suspect.what, suspect.place) == ("unseen", "sap")
    assert suspect.begin_s <= old.at_s <= suspect.at_s
    volume = old.value("volume")
    assert volume is not None
    assert suspect.expected == pytest.approx(-1000.0 * volume, abs=4.0 * suspect.expected_sd)


def test_the_correction_is_words_that_the_logbook_understands() -> None:
    from sugarwright.logbook.words import understand

    old = entry("gather", "gathering:north", 4)
    measure = old.measure("volume")
    assert measure is not None
    entries = typed(old.key, "volume", f"{float(measure.typed.split()[0]) * 10:.1f} gal")
    found = ledger(entries)
    suspect = next(each for each in found.doubts[0].suspects if each.slip is not None)
    command = correction(suspect, house(), {each.key: each for each in entries})
    start, _, words = command.strip("`").partition(old.key[:6])
    assert start.endswith("log correct ")
    told = understand(words.split(" ", 1)[1], house(), old.at_s + 60.0).entries[0]
    assert told.value("volume") == pytest.approx(measure.value, rel=2e-3)


def test_nonsense_is_left_out_and_told() -> None:
    odd = (
        Entry("deep", "reading", season()[0].at_s + 10.0, 0.0, place="sap",
              measures=(Measure("depth", 40.0),)),
        Entry("sweet", "reading", season()[0].at_s + 20.0, 0.0, place="stock",
              measures=(Measure("brix", 99.0),)),
        Entry("below", "gather", season()[0].at_s + 30.0, 0.0, place="gathering:north",
              measures=(Measure("volume", -3.0),)),
        Entry("ice", "reading", season()[0].at_s + 40.0, 0.0, place="sap",
              measures=(Measure("depth", 0.4),), flags=("ice",)),
    )  # fmt: skip
    found = ledger((*season(), *odd))
    assert {each.key for each in found.left_out} == {"deep", "sweet", "below", "ice"}
    assert found.doubts == ()


@pytest.mark.parametrize("count", [0, 1, 2, 5])
def test_too_little_is_said_to_be_too_little(count: int) -> None:
    found = ledger(season()[:count])
    assert found.doubts == ()
    assert found.lacking
    lines = list(ledger_lines(found, house(), {each.key: each for each in season()}))
    assert any("No syrup was measured" in line for line in lines)


def test_a_span_is_cut_out() -> None:
    third = season()[0].at_s + 2.9 * 86400.0
    found = season_ledger(house(), season(), begin_s=third)
    assert found.begin_s is not None
    assert found.begin_s >= third
    assert found.entries < len(season())
    assert found.doubts == ()


def test_the_same_entries_in_any_order_make_the_same_ledger() -> None:
    assert ledger(season()) == ledger(tuple(reversed(season())))
