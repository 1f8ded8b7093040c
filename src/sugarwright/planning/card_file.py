"""``card.json``: the rows of the newest card of a house, for plans to be compared with.

A card of an earlier description may still be read: whoever uses it judges it beside others first,
and the simulator lets no row do what the house forbids.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

from sugarwright.errors import InputError, WeatherFileError
from sugarwright.planning.card_menu import KINDS
from sugarwright.planning.rule_card import Card
from sugarwright.plant import layout as at
from sugarwright.weather.keeping import replace_whole

CARD_FILE = "card.json"
_FIX = "Delete it and run `sugarwright card` again"
_COLUMNS = (
    "membrane_start_min", "membrane_sap_m3", "membrane_flow_m3_s", "membrane_stop_min",
    "night_flow_m3_s", "wash_min", "wash_after_s", "fire_start_min", "fire_stock_m3",
    "fire_stop_min", "membrane_call_m3", "fire_call_m3", "again_brix", "call_flow_m3_s",
    "gather_start_min",
)  # fmt: skip
"""Names of a row's places, in their order (``layout.PLAN_WIDTH`` of them)."""
_LATER = {"call_flow_m3_s": 0.0, "gather_start_min": 0.0}
"""What cards of earlier versions have not, and what it is in them."""


def write_card(folder: str | Path, card: Card) -> None:
    """Keep a card in the folder of a house: wholly or not at all.

    Raises
    ------
    InputError : it cannot be written
    """
    rows = [dict(zip(_COLUMNS, row, strict=True)) for row in card.rows]
    text = json.dumps({"weekdays": rows[0], "weekend": rows[1]}, indent=2, allow_nan=False)
    path = Path(folder) / CARD_FILE
    try:
        replace_whole(path, text + "\n")
    except WeatherFileError as error:
        raise InputError("card", str(path), error.problem, fix=error.fix) from None


def read_card(folder: str | Path) -> Card | None:
    """Return the card kept in a folder; None if there is none.

    Raises
    ------
    InputError : the file is no card
    """
    path = Path(folder) / CARD_FILE
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, RecursionError) as problem:  # not UTF-8, not JSON
        raise InputError("card", str(path), f"cannot be read ({problem})", fix=_FIX) from None
    try:
        rows = [document[part] for part in ("weekdays", "weekend")]
        rows = [_LATER | row for row in rows]
        card = Card(tuple(tuple(float(row[name]) for name in _COLUMNS) for row in rows))
    except (KeyError, TypeError, ValueError):
        raise InputError("card", str(path), "is no card", fix=_FIX) from None
    assert len(card.rows) == KINDS
    if not all(math.isfinite(value) for row in card.rows for value in row):
        raise InputError("card", str(path), "holds what is no number", fix=_FIX)
    return card


assert len(_COLUMNS) == at.PLAN_WIDTH
