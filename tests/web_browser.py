"""The distribution's own browser, for tests of pages."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
"""The first opens pages three times as quickly as the others: it has no windows."""
FOUND = next(filter(None, map(shutil.which, NAMES)), None)
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def launch(chromium: Any, *more: str, home: Path | None = None) -> Any:
    """Start it.

    Parameters
    ----------
    chromium : Playwright's kind of browser
    more : words for its command line
    home : folder of whoever uses it: whom it trusts stands there; None for this computer's own
    """
    environment = None if home is None else {**os.environ, "HOME": str(home)}
    return chromium.launch(executable_path=FOUND, args=[*QUIET, *more], env=environment)
