"""Numbers as people type them: ``1 1/2``, ``½``, ``1,200``, ``2,1``, ``.5``, ``1e3``."""

from __future__ import annotations

import math
import re
import unicodedata

_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("−‒–—‐‑﹣", "-"),
        **dict.fromkeys("’‘′ʹ", "'"),
        **dict.fromkeys("”“″ʺ", '"'),
        **dict.fromkeys("º˚", "°"),
        "⁄": "/",
        "×": "*",
        **{sign: f" {text} " for sign, text in _VULGAR.items()},
    }
)

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>[0-9]+)(?:\s+|\s*-\s*))? (?P<over>[0-9]+)\s*/\s*(?P<under>[0-9]+)
      | (?P<plain>
            (?: [1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?          # 1,200.5
              | [1-9][0-9]{0,2}(?:[ ][0-9]{3})+(?:[.,][0-9]+)?      # 1 200,5
              | 0*,[0-9]+                                           # 0,125
              | [0-9]+,(?:[0-9]{1,2}|[0-9]{4,})                     # 2,1
              | [0-9]+(?:\.[0-9]*)?
              | \.[0-9]+
            )(?:[eE][+-]?[0-9]+)?
        )
    )(?![0-9.,])\s*""",
    re.VERBOSE,
)


def tidy(text: str) -> str:
    """Return a text with look-alike characters made plain (minus signs, primes, ½, ², digits)."""
    plain = unicodedata.normalize("NFKC", text.translate(_ALIKE))
    return re.sub(r"\s+", " ", plain).strip()


def take_number(text: str) -> tuple[float, str] | None:
    """Split a tidy text into its leading number and the rest; None when no number leads it."""
    match = _NUMBER.match(text)
    if match is None:
        return None
    value = _plain(match["plain"]) if match["plain"] else _fraction(match)
    if value is None or not math.isfinite(value):
        return None
    return (-value if match["sign"] == "-" else value), text[match.end() :]


def _plain(digits: str) -> float:
    digits = digits.replace(" ", "")
    if re.match(r"[1-9][0-9]{0,2}(,[0-9]{3})+(?![0-9])", digits):
        return float(digits.replace(",", ""))
    return float(digits.replace(",", "."))


def _fraction(match: re.Match[str]) -> float | None:
    """Return 1 1/2 as 1.5; None when the fraction after a whole number is not below one."""
    over, under = int(match["over"]), int(match["under"])
    if under == 0 or (match["whole"] and over >= under):
        return None
    return int(match["whole"] or 0) + over / under
