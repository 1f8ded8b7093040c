"""A run, step by step, as a table for a spreadsheet: one named column a quantity, SI units."""

from __future__ import annotations

import csv
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sugarwright.errors import InputError
from sugarwright.plant import layout as at
from sugarwright.plant.simulate import Trace

COLUMNS: dict[str, int] = {
    "sap_m3": at.T_SAP_M3,
    "sap_brix": at.T_SAP_BRIX,
    "sap_life_used": at.T_SAP_LIFE,
    "stock_m3": at.T_STOCK_M3,
    "stock_brix": at.T_STOCK_BRIX,
    "stock_life_used": at.T_STOCK_LIFE,
    "permeate_m3": at.T_PERMEATE_M3,
    "gathered_m3": at.T_GATHERED_M3,
    "membrane_on": at.T_MEMBRANE_ON,
    "membrane_condition": at.T_CONDITION,
    "membrane_cleaning": at.T_CLEANING,
    "fire_on": at.T_FIRE_ON,
    "heat_of_full": at.T_HEAT,
    "last_pan_brix": at.T_PAN_BRIX,
    "pan_sugar_kg": at.T_PAN_SUGAR_KG,
    "wood_m3": at.T_WOOD_M3,
    "syrup_kg": at.T_SYRUP_KG,
}
"""Column -> its place in a row of the trace."""
HEADER = ("time_utc", "time_local", *COLUMNS)


def write_trace_csv(trace: Trace, path: str | Path, timezone: str) -> None:
    """Write how things stood at the end of each step; an earlier trace there is replaced.

    Raises
    ------
    InputError : a file that is no trace stands there, or it cannot be written
    """
    path = Path(path)
    try:
        if path.exists() and not _is_trace(path):
            raise InputError(
                "trace", str(path), "is a file that is no trace: it is left alone",
                fix="Choose another name",
            )  # fmt: skip
        with path.open("w", encoding="utf-8", newline="") as file:
            table = csv.writer(file, lineterminator="\n")
            table.writerow(HEADER)
            table.writerows(_rows(trace, timezone))
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise InputError("trace", str(path), f"cannot be written: {reason}") from None


def _is_trace(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(200).startswith(b"time_utc,time_local,sap_m3,")


def _rows(trace: Trace, timezone: str) -> list[list[str]]:
    zone = ZoneInfo(timezone)
    places = list(COLUMNS.values())
    found = []
    for number, row in enumerate(trace.rows[:, places].tolist(), start=1):
        instant = datetime.fromtimestamp(trace.begin_s + number * trace.step_s, UTC)
        times = [f"{instant:%Y-%m-%dT%H:%M:%SZ}", f"{instant.astimezone(zone):%Y-%m-%d %H:%M}"]
        found.append(times + [f"{value:.6g}" for value in row])
    return found
