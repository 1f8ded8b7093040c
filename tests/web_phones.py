"""A served house with a line that can break, and phones that are signed in, for tests by browser.

HTTPS is trusted as a phone trusts it: the house's authority stands in the browser's own store
(certutil, of Debian's libnss3-tools). The line between is a proxy that breaks connections.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dropping_line import DroppingLine
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.web.guard import HouseNetwork
from sugarwright.web.guard.lan import Line
from web_browser import launch
from web_network import HOUSE, NAME, Lan
from web_serving import serving

RULES = f"--host-resolver-rules=MAP {NAME} 127.0.0.1"


class House:
    """A served house with a line to it that can break."""

    def __init__(self, folder: Path, scheme: str, clock: Callable[[], float] = time.time) -> None:
        self.lan = Lan(folder, time.time)  # type: ignore[arg-type]
        self.lan.shed.clock = clock
        network = self.lan.network
        tls = None
        if scheme == "https":
            tls = Line(folder, network.authority, network.names).context
        self._serving = serving(self.lan.shed, HouseNetwork(network), tls)
        address = self._serving.__enter__()
        self.line = DroppingLine(int(address.rpartition(":")[2]), seed=20260319)
        self.address = f"{scheme}://{NAME}:{self.line.port}"

    def entries(self) -> tuple[Entry, ...]:
        with Logbook.open(self.lan.folder) as book:
            return book.entries()

    def close(self) -> None:
        self.line.close()
        self._serving.__exit__()
        self.lan.stop()


class Phones:
    """Makes phones: pages that are signed in, each with a store of its own."""

    def __init__(self, browser: Any, house: House, scheme: str, home: Path) -> None:
        self._house, self._scheme = house, scheme
        if scheme == "https":
            trust(home, house.lan.network.authority.der)
        self._browser = launch(browser.browser_type, RULES, home=home)

    def __call__(self) -> Any:
        page = self._browser.new_context(viewport={"width": 360, "height": 740}).new_page()
        page.set_default_timeout(20_000)
        sign_in(page, self._house.address)
        assert page.evaluate("isSecureContext") == (self._scheme == "https")
        return page

    def close(self) -> None:
        self._browser.close()


def sign_in(page: Any, address: str) -> None:
    page.goto(f"{address}/log")
    page.get_by_label("Passphrase of this sugarhouse").fill(HOUSE)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}/log")


def trust(home: Path, der: bytes) -> None:
    """Let a browser with this home trust an authority, as its person would."""
    tool = shutil.which("certutil")
    if tool is None:
        if os.environ.get("SUGARWRIGHT_BROWSER") == "required":
            pytest.fail("no certutil is installed, and SUGARWRIGHT_BROWSER=required")
        pytest.skip("no certutil is installed (Debian: apt-get install libnss3-tools)")
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    (home / "house.crt").write_bytes(der)
    added = ["-A", "-t", "C,,", "-n", "house", "-i", str(home / "house.crt")]
    for words in (["-N", "--empty-password"], added):
        subprocess.run([tool, "-d", f"sql:{store}", *words], check=True, capture_output=True)


def wait_for(page: Any, is_so: Callable[[], bool], patience_s: float = 60.0) -> None:
    from playwright.sync_api import Error

    def holds() -> bool:
        try:
            return is_so()
        except Error as problem:  # the page went on to another just then
            if "context was destroyed" in str(problem):
                return False
            raise

    end_s = time.monotonic() + patience_s
    while not holds():
        assert time.monotonic() < end_s, "it did not come"
        page.wait_for_timeout(100)
