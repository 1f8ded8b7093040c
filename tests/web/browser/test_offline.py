"""The outbox in a real browser, under a name of the network: over plain HTTP, and over HTTPS.

HTTPS is trusted as a phone trusts it: the house's authority stands in the browser's own store
(certutil, of Debian's libnss3-tools). The line between is a proxy that breaks connections.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from dropping_line import DroppingLine
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.entry import Entry
from sugarwright.web.guard import HouseNetwork
from sugarwright.web.guard.lan import Line
from web_network import HOUSE, NAME, Lan
from web_serving import serving

QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
)  # fmt: skip
EACH = 250
ENTER = """async ([who, from, count]) => {
    const { enter } = await import("/static/outbox.js");
    const made = [];
    for (let i = from; i < from + count; i += 1) {
        made.push(await enter({ text: `note ${who} ${i}`, who }));
    }
    return made.map(({ key, made_at }) => [key, made_at]);
}"""
STATES = """async () => {
    const { entries } = await import("/static/outbox.js");
    return (await entries()).map(({ state }) => state);
}"""


class House:
    """A served house with a line to it that can break."""

    def __init__(self, folder: Path, scheme: str) -> None:
        self.lan = Lan(folder, time.time)  # type: ignore[arg-type]
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


@pytest.fixture(params=["http", "https"])
def scheme(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def house(tmp_path: Path, scheme: str) -> Iterator[House]:
    made = House(tmp_path, scheme)
    yield made
    made.close()


@pytest.fixture
def phones(browser: Any, house: House, scheme: str, tmp_path_factory: Any) -> Iterator[Any]:
    """Return what makes phones: pages that are signed in, each with a store of its own."""
    home = tmp_path_factory.mktemp("home")
    if scheme == "https":
        trust(home, house.lan.network.authority.der)
    path = shutil.which("chromium") or shutil.which("google-chrome")
    found = browser.browser_type.launch(
        executable_path=path, args=list(QUIET), env={**os.environ, "HOME": str(home)}
    )

    def phone() -> Any:
        page = found.new_context(viewport={"width": 360, "height": 740}).new_page()
        page.set_default_timeout(20_000)
        page.goto(f"{house.address}/log")
        page.get_by_label("Passphrase of this sugarhouse").fill(HOUSE)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(f"{house.address}/log")
        assert page.evaluate("isSecureContext") == (scheme == "https")
        return page

    yield phone
    found.close()


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


def say(page: Any, text: str) -> None:
    page.get_by_label("Or in words").fill(text)
    page.locator("form.words button").click()


def test_an_entry_is_kept_while_there_is_no_line_and_goes_out_by_itself(
    house: House, phones: Any
) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    pressed_s = time.time()
    say(page, "note owls are back")
    page.get_by_text("No line to the computer").first.wait_for()
    waiting = page.locator("#outbox li")
    assert "note owls are back" in waiting.inner_text()
    assert "kept on this phone" in waiting.inner_text()
    assert house.entries() == ()
    page.wait_for_timeout(6000)
    house.line.is_up = True
    wait_for(page, lambda: len(house.entries()) == 1)
    assert 0.0 <= house.entries()[0].made_s - pressed_s < 5.0  # and not of when it arrived
    wait_for(page, lambda: page.locator("#outbox li").count() == 0)


def test_an_answer_that_is_lost_keeps_nothing_twice(house: House, phones: Any) -> None:
    page = phones()
    house.line.swallow_answers = True
    say(page, "note once")
    wait_for(page, lambda: len(house.entries()) == 1)
    assert "kept on this phone" in page.locator("#outbox li").inner_text()
    house.line.swallow_answers = False
    wait_for(page, lambda: page.evaluate(STATES) == ["kept"])
    assert len(house.entries()) == 1


def test_what_waits_outlives_the_page(house: House, phones: Any) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    page.evaluate(ENTER, ["Ann", 0, 3])
    page.close(run_before_unload=False)
    house.line.is_up = True
    context = page.context
    again = context.new_page()
    again.goto(f"{house.address}/log")
    wait_for(again, lambda: len(house.entries()) == 3)
    assert [each.words["note"] for each in house.entries()] == ["Ann 0", "Ann 1", "Ann 2"]


def test_what_is_questioned_or_refused_stays_until_somebody_decides(
    house: House, phones: Any
) -> None:
    page = phones()
    say(page, "sap 120 gal 19")
    page.locator('#outbox li[data-state="questioned"]').wait_for()
    assert house.entries() == ()
    page.get_by_role("button", name="It is so: send it").click()
    wait_for(page, lambda: len(house.entries()) == 1)
    assert house.entries()[0].flags == ("doubtful",)
    say(page, "spa 12")
    refused = page.locator('#outbox li[data-state="refused"]')
    refused.wait_for()
    refused.get_by_role("textbox").fill("sap 12 gal")
    refused.get_by_role("button", name="Send as changed").click()
    wait_for(page, lambda: len(house.entries()) == 2)


def test_a_waiting_entry_that_is_taken_back_never_stands(house: House, phones: Any) -> None:
    page = phones()
    house.line.is_up = False
    house.line.cut()
    # The sender tries a new entry at once; what was handed to the line may have arrived, and is
    # then taken back by an entry behind it. Either way nothing stands in the end.
    page.evaluate("""async () => {
        const { enter, undo } = await import("/static/outbox.js");
        const { key } = await enter({ text: "note never" });
        await undo(key);
    }""")
    house.line.is_up = True
    wait_for(page, lambda: "waiting" not in page.evaluate(STATES))
    assert house.entries() == ()


def test_500_entries_of_two_phones_over_a_dropping_line_arrive_once_and_in_order(
    house: House, phones: Any
) -> None:
    pages = {name: phones() for name in ("Ann", "Ben")}
    house.line.start_dropping()
    made: dict[str, list[Any]] = {name: [] for name in pages}
    for begin in range(0, EACH, 50):
        for name, page in pages.items():
            made[name] += page.evaluate(ENTER, [name, begin, 50])
            page.evaluate('import("/static/outbox-send.js").then(({ sendNow }) => void sendNow())')
    any_page = pages["Ann"]
    wait_for(any_page, lambda: len(house.entries()) >= 2 * EACH, 240.0)
    for page in pages.values():
        wait_for(page, lambda page=page: "waiting" not in page.evaluate(STATES))
    assert house.line.drops >= 2
    with Logbook.open(house.lan.folder) as book:
        written = tuple(reversed(book.newest(10 * EACH)))
    assert len(written) == 2 * EACH
    for name in pages:
        mine = [each for each in written if each.who == name]
        assert [each.key for each in mine] == [key for key, _ in made[name]]
        assert [each.made_s for each in mine] == [at for _, at in made[name]]
