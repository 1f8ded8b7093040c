"""Make the README's pictures of the pages: the demo's house (invented), at its invented morning.

    python scripts/screenshots.py

Needs Debian's Chromium. Writes ``docs/pictures/*.png``.
"""

from __future__ import annotations

import contextlib
import io
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path += [str(ROOT / "tests")]

from PIL import Image  # noqa: E402

from sugarwright.cli.demo import demo  # noqa: E402
from sugarwright.web.shed import Shed  # noqa: E402
from web_folder import NOW_S  # type: ignore[import-not-found]  # noqa: E402  tests/ is not typed
from web_serving import serving, standing_known  # type: ignore[import-not-found]  # noqa: E402

PLACE = ROOT / "docs" / "pictures"
PHONE = {"width": 360, "height": 740}
PICTURES = (
    ("today", "/", "light"),
    ("boil", "/boil", "dark"),
    ("ledger", "/ledger", "light"),
    ("season", "/season", "dark"),
)
SHARPER = 1.5  # pixels of the picture by those of the page
COLOURS = 64
PATIENCE_S = 180.0


def answered(shed: Shed) -> None:
    """Wait until nothing is being worked out any more."""
    end_s = time.monotonic() + PATIENCE_S
    while any(each.is_asked for each in tuple(shed._answers.values())):
        if time.monotonic() > end_s:
            raise SystemExit("the pages' answers did not come")
        time.sleep(0.2)


def take(browser: Any, address: str, shed: Shed, name: str, path: str, scheme: str) -> None:
    """Take one picture."""
    context = browser.new_context(
        viewport=PHONE, color_scheme=scheme, device_scale_factor=SHARPER, base_url=address
    )
    page = context.new_page()
    page.goto(path)
    answered(shed)
    page.goto(path)
    page.wait_for_timeout(500)
    taken = Image.open(io.BytesIO(page.screenshot()))
    context.close()
    few = taken.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(PLACE / f"{name}.png", optimize=True)


def main() -> None:
    """Make all of them."""
    from playwright.sync_api import sync_playwright

    PLACE.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "house"
        with contextlib.redirect_stdout(io.StringIO()):
            demo(str(folder), no_serve=True)
        shed = Shed(str(folder), lambda: NOW_S, plans=False)
        with serving(shed) as address, sync_playwright() as playwright:
            standing_known(shed)
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox"]
            )
            for name, path, scheme in PICTURES:
                take(browser, address, shed, name, path, scheme)
            browser.close()
        shed.close()


if __name__ == "__main__":
    main()
