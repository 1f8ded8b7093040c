"""The ledger in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.cli.ledger_doubt_text import doubt_lines
from sugarwright.cli.output import columns, wrapped
from sugarwright.units import MASS, VOLUME, show

if TYPE_CHECKING:
    from sugarwright.ledger.account import Account, Amount, Line, Ratio
    from sugarwright.ledger.season_ledger import SeasonLedger
    from sugarwright.logbook.entry import Entry
    from sugarwright.plant.house import House

_FLOWS = {
    "gathered": "sap gathered", "ran in": "sap that ran in unmeasured", "bought": "sap bought",
    "fed": "fed to the membrane", "concentrate": "concentrate", "permeate": "permeate",
    "let go": "permeate let go", "cleaning": "permeate to rinse and wash",
    "boiled": "fed to the pan", "steam": "boiled off", "syrup": "syrup drawn",
    "lost at the pan": "lost at the pan (niter, foam, filter)", "sold": "sap sold",
    "dumped": "thrown away", "spilled": "spilled or run over", "moved": "moved away by hand",
}  # fmt: skip
_WITH_BRIX = ("gathered", "ran in", "bought", "fed", "concentrate", "boiled", "syrup")
LEAST_SHOWN_KG = 0.05


def ledger_lines(found: SeasonLedger, house: House, entries: Mapping[str, Entry]) -> Iterator[str]:
    """Yield the ledger: doubts first, then what flowed and where the sugar went."""
    if found.account is None or found.begin_s is None or found.end_s is None:
        yield "There is too little in the logbook to balance anything yet."
        yield from _lacking(found)
        yield from _left_out(found)
        return
    days = [_day(each, found.timezone) for each in (found.begin_s, found.end_s)]
    yield f"{found.house}: {days[0]} to {days[1]}"
    yield wrapped(
        f"{found.readings} readings in {found.entries} entries; balances test them "
        f"{found.checks} times over."
    )
    yield ""
    if found.doubts:
        yield from doubt_lines(found.doubts, house, entries)
        yield wrapped("What follows is reckoned without what is doubted.")
    else:
        yield _nothing_wrong(found)
    yield ""
    yield from _flows(found.account, found.units)
    yield ""
    yield from _sugar(found.account, found.units)
    yield ""
    yield from _ratio(found.account.ratio, found.units)
    yield from _guesses(found)
    yield from _lacking(found)
    if found.next_reading is not None:
        gain = 100.0 * found.next_reading.gain_fraction
        yield wrapped(
            f"What would help most: {found.next_reading.what} (what got lost would be known "
            f"{gain:.0f} % better)."
        )
    yield from _left_out(found)


def _nothing_wrong(found: SeasonLedger) -> str:
    if found.checks < 3:
        return wrapped(
            "Nothing speaks against any reading; but hardly any is tested by others, so that a "
            "wrong one would not show."
        )
    return "All readings agree, within what their instruments do."


def _flows(account: Account, units: str) -> Iterator[str]:
    yield "What flowed (with 95 chances in 100 within)"
    rows = []
    for each in account.flows:
        if each.volume_m3 < 5e-4 and each.name not in ("syrup", "boiled"):
            continue
        rows.append((_FLOWS[each.name], *_volume(each, units), _brix(each)))
    yield from (f"  {line}" for line in columns(rows))


def _volume(each: Amount, units: str) -> tuple[str, str]:
    unit = "gal" if units == "us" else "L"
    digits = 1 if each.volume_m3 < 0.4 else 0
    shown = show(each.volume_m3, VOLUME, units, digits=digits, unit=unit)
    band = show(1.96 * each.volume_sd_m3, VOLUME, units, digits=digits, unit=unit)
    return shown, f"± {band}"


def _brix(each: Amount) -> str:
    if each.name not in _WITH_BRIX or each.brix is None or each.sd_brix is None:
        return ""
    return f"{each.brix:.2f} Brix ± {1.96 * each.sd_brix:.2f}"


def _sugar(account: Account, units: str) -> Iterator[str]:
    yield "Where the sugar came from, and where it went"
    rows = [*_side(account.came, units, "all that came")]
    rows.append(("", "", ""))
    rows += _side(account.went, units, "all that went")
    yield from (f"  {line}".rstrip() for line in columns(rows))


def _side(lines: tuple[Line, ...], units: str, total: str) -> Iterator[tuple[str, str, str]]:
    for each in lines:
        if abs(each.sugar_kg) >= LEAST_SHOWN_KG:
            yield _name(each.name), _mass(each.sugar_kg, units), f"± {_mass(_band(each), units)}"
    yield total, _mass(sum(each.sugar_kg for each in lines), units), ""


def _band(each: Line) -> float:
    return 1.96 * each.sugar_sd_kg


def _name(name: str) -> str:
    for place, words in (
        ("sap", "sap tank"),
        ("stock", "stock tank"),
        ("permeate", "permeate tank"),
    ):
        name = name.replace(f"the {place} ", f"the {words} ").replace(f", {place}", f", {words}")
    return _FLOWS.get(name, name)


def _mass(value_kg: float, units: str) -> str:
    return show(value_kg, MASS, units, digits=1, unit="lb" if units == "us" else "kg")


def _ratio(ratio: Ratio, units: str) -> Iterator[str]:
    if ratio.sap_by_syrup_ratio is None or ratio.ratio_sd is None:
        yield "Sap to syrup: no syrup was drawn that the ledger knows of."
        return
    text = (
        f"Sap to syrup: {ratio.sap_by_syrup_ratio:.1f} to 1 by volume "
        f"(± {1.96 * ratio.ratio_sd:.1f})."
    )
    if ratio.balance_ratio is not None:
        text += (
            f" Were nothing lost or held back, sap and syrup of these strengths would make "
            f"{ratio.balance_ratio:.1f} to 1."
        )
    yield wrapped(text)


def _guesses(found: SeasonLedger) -> Iterator[str]:
    if found.guesses:
        names = ", ".join(_FLOWS[each] for each in found.guesses)
        yield wrapped(f"Little more than a guess: {names}.")


def _lacking(found: SeasonLedger) -> Iterator[str]:
    for each in found.lacking:
        yield wrapped(each)


def _left_out(found: SeasonLedger) -> Iterator[str]:
    if found.left_out:
        yield f"Not used: {len(found.left_out)} readings."
        for each in found.left_out[:5]:
            when = _day(each.at_s, found.timezone)
            yield wrapped(f"{when}: {each.reason}", f"  {each.key[:6]}  ")
        if len(found.left_out) > 5:
            yield "  ... all are in --json."


def _day(at_s: float, timezone: str) -> str:
    local = datetime.fromtimestamp(at_s, ZoneInfo(timezone))
    return f"{local:%a} {local.day} {local:%b %Y}"
