"""The first page of a logged season: server time, weight on the line, first paint on a slow phone.

    python benchmarks/today_page.py

Aims: 95 % of answers within 100 ms, 150 kB with everything that a first visit fetches, first
contentful paint within 1 s in Chromium with its processor slowed four times.

The house is the demo's (invented), with its half a season of invented log and its plan.
"""

from __future__ import annotations

import contextlib
import io
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any
from urllib.request import urlopen

sys.path += [str(Path(__file__).resolve().parents[1] / "tests")]


import machine
from sugarwright.cli.demo import demo
from sugarwright.web.shed import Shed
from web_folder import NOW_S
from web_serving import serving, standing_known

ASKED = 200
SLOWER = 4
PHONE = {"width": 360, "height": 740}
QUIET = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync")


def server_times_s(address: str) -> list[float]:
    """Ask for the page again and again; return how long each answer took."""
    found = []
    for _ in range(ASKED):
        begin = time.perf_counter()
        with urlopen(address) as answer:
            answer.read()
        found.append(time.perf_counter() - begin)
    return found


def first_visit(browser: Any, address: str) -> tuple[float, int, dict[str, int]]:
    """Return first contentful paint in s, bytes on the line, and the same by file."""
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    tools = context.new_cdp_session(page)
    tools.send("Network.enable")
    tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    names: dict[str, str] = {}
    sizes: dict[str, int] = {}
    tools.on(
        "Network.requestWillBeSent", lambda e: names.update({e["requestId"]: e["request"]["url"]})
    )
    tools.on(
        "Network.loadingFinished",
        lambda e: sizes.update({names[e["requestId"]]: int(e["encodedDataLength"])}),
    )
    page.goto(address)
    page.wait_for_selector("fan-chart[data-drawn]")
    page.wait_for_timeout(500)
    paint = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
    context.close()
    return paint / 1000.0, sum(sizes.values()), sizes


def main() -> None:
    """Print the figures."""
    from playwright.sync_api import sync_playwright

    print(machine.describe())
    with tempfile.TemporaryDirectory() as place:
        with contextlib.redirect_stdout(io.StringIO()):
            demo(place, no_serve=True, json=True)
        shed = Shed(place, lambda: NOW_S, plans=False)
        standing_known(shed)
        with serving(shed) as address, sync_playwright() as playwright:
            with shed.record() as book:
                entries = len(book.entries())
            times = sorted(server_times_s(address))
            middle, late = statistics.median(times), times[int(0.95 * len(times))]
            print(f"{entries} entries: answer {1e3 * middle:.0f} ms, 95 % in {1e3 * late:.0f} ms")
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=list(QUIET)
            )
            visits = [first_visit(browser, address) for _ in range(5)]
            paint = statistics.median(each[0] for each in visits)
            print(f"first contentful paint {paint:.2f} s, processor slowed {SLOWER} times")
            _, total, sizes = visits[-1]
            print(f"{total / 1000:.0f} kB on the line with everything:")
            for name, size in sorted(sizes.items(), key=lambda each: -each[1]):
                print(f"  {size / 1000:6.1f} kB  {name.removeprefix(address)}")
            browser.close()
        shed.close()


if __name__ == "__main__":
    main()
