"""Where only totals were written down: the claim that they make."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sugarwright.units import VOLUME, show

if TYPE_CHECKING:
    from sugarwright.logbook.entry import Entry


def claim_of_totals(entries: Iterable[Entry], units: str) -> str:
    """Return the command that judges all sap against all syrup; empty where one is missing.

    Parameters
    ----------
    entries : that stand; sap that was tested counts with its strength, the rest as the mean of it
    units : "us" or "metric"
    """
    sap_m3 = tested_m3 = sweet_m3 = syrup_m3 = 0.0
    for entry in entries:
        volume_m3, brix = entry.value("volume"), entry.value("brix")
        if entry.kind in ("gather", "sap_bought") and volume_m3 is not None:
            sap_m3 += volume_m3
            if brix is not None:
                tested_m3, sweet_m3 = tested_m3 + volume_m3, sweet_m3 + volume_m3 * brix
        elif entry.kind == "syrup" and volume_m3 is not None:
            syrup_m3 += volume_m3
    if not (tested_m3 and syrup_m3):
        return ""
    sap, syrup = (show(each, VOLUME, units) for each in (sap_m3, syrup_m3))
    claim = f"{sap} at {sweet_m3 / tested_m3:.1f} Brix made {syrup}"
    return f'`sugarwright ledger claim "{claim}"`.'
