"""The ledger in sentences and rows of words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sugarwright.units import MASS, VOLUME, show

if TYPE_CHECKING:
    from sugarwright.ledger.account import Account, Amount, Line, Ratio
    from sugarwright.ledger.season_ledger import SeasonLedger

FLOWS = {
    "gathered": "sap gathered", "ran in": "sap that ran in unmeasured", "bought": "sap bought",
    "fed": "fed to the membrane", "concentrate": "concentrate", "permeate": "permeate",
    "let go": "permeate let go", "cleaning": "permeate to rinse and wash",
    "boiled": "fed to the pan", "steam": "boiled off", "syrup": "syrup drawn",
    "lost at the pan": "lost at the pan (niter, foam, filter)", "sold": "sap sold",
    "dumped": "thrown away", "spilled": "spilled or run over", "moved": "moved away by hand",
}  # fmt: skip
_WITH_BRIX = ("gathered", "ran in", "bought", "fed", "concentrate", "boiled", "syrup")
LEAST_SHOWN_KG = 0.05


def span_text(found: SeasonLedger) -> str:
    """Return the days that a ledger is about."""
    days = [_day(each or 0.0, found.timezone) for each in (found.begin_s, found.end_s)]
    return f"{days[0]} to {days[1]}"


def tested_text(found: SeasonLedger) -> str:
    """Return on how many readings it stands."""
    return (
        f"{found.readings} readings in {found.entries} entries; balances test them "
        f"{found.checks} times over."
    )


def nothing_wrong_text(found: SeasonLedger) -> str:
    """Return what it means that nothing is doubted."""
    if found.checks < 3:
        return (
            "Nothing speaks against any reading; but hardly any is tested by others, so that a "
            "wrong one would not show."
        )
    return "All readings agree, within what their instruments do."


def flow_rows(account: Account, units: str) -> list[tuple[str, str, str, str]]:
    """Return what flowed: name, volume, its 95 % band, strength with its band."""
    return [
        (FLOWS[each.name], *_volume(each, units), _brix(each))
        for each in account.flows
        if each.volume_m3 >= 5e-4 or each.name in ("syrup", "boiled")
    ]


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


def sugar_rows(lines: tuple[Line, ...], units: str, total: str) -> Iterator[tuple[str, str, str]]:
    """Yield one side of the sugar account, its sum last: name, sugar, its 95 % band."""
    for each in lines:
        if abs(each.sugar_kg) >= LEAST_SHOWN_KG:
            yield line_name(each.name), mass_text(_shown_kg(each), units), f"± {_band(each, units)}"
    yield total, mass_text(sum(each.sugar_kg for each in lines), units), ""


def _shown_kg(each: Line) -> float:
    """Return a line's sugar; below nothing is nothing where its own error may make it so."""
    may_be_nothing = -1.96 * each.sugar_sd_kg <= each.sugar_kg < 0.0
    return 0.0 if may_be_nothing else each.sugar_kg


def _band(each: Line, units: str) -> str:
    return mass_text(1.96 * each.sugar_sd_kg, units)


def line_name(name: str) -> str:
    """Return what a line of the account is called."""
    for place, words in (
        ("sap", "sap tank"),
        ("stock", "stock tank"),
        ("permeate", "permeate tank"),
    ):
        name = name.replace(f"the {place} ", f"the {words} ").replace(f", {place}", f", {words}")
    return FLOWS.get(name, name)


def mass_text(value_kg: float, units: str) -> str:
    """Return an amount of sugar."""
    return show(value_kg, MASS, units, digits=1, unit="lb" if units == "us" else "kg")


def ratio_text(ratio: Ratio) -> str:
    """Return how much sap one of syrup took."""
    if ratio.sap_by_syrup_ratio is None or ratio.ratio_sd is None:
        return "Sap to syrup: no syrup was drawn that the ledger knows of."
    text = (
        f"Sap to syrup: {ratio.sap_by_syrup_ratio:.1f} to 1 by volume "
        f"(± {1.96 * ratio.ratio_sd:.1f})."
    )
    if ratio.balance_ratio is not None:
        text += (
            f" Were nothing lost or held back, sap and syrup of these strengths would make "
            f"{ratio.balance_ratio:.1f} to 1."
        )
    return text


def advice_texts(found: SeasonLedger) -> Iterator[str]:
    """Yield what is little more than a guess, what the record lacks, and what would help most."""
    if found.guesses:
        names = ", ".join(FLOWS[each] for each in found.guesses)
        yield f"Little more than a guess: {names}."
    yield from found.lacking
    if found.next_reading is not None:
        gain = 100.0 * found.next_reading.gain_fraction
        yield (
            f"What would help most: {found.next_reading.what} (what got lost would be known "
            f"{gain:.0f} % better)."
        )


def left_out_text(found: SeasonLedger, number: int) -> str:
    """Return when a reading was made that is not used, and why it is not."""
    each = found.left_out[number]
    return f"{_day(each.at_s, found.timezone)}: {each.reason}"


def _day(at_s: float, timezone: str) -> str:
    local = datetime.fromtimestamp(at_s, ZoneInfo(timezone))
    return f"{local:%a} {local.day} {local:%b %Y}"
