"""The pages as a phone on the network opens them: plain, and encrypted by the house's authority."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.serialization import Encoding

from sugarwright.web.guard import HouseNetwork
from sugarwright.web.guard.authority import key_bytes
from sugarwright.web.guard.lan import Line
from sugarwright.web.guard.server_certificate import Places, make_certificate
from web_browser import launch
from web_network import HOUSE, NAME, Lan
from web_serving import serving

FOREIGN = "bank.example"
RULES = f"--host-resolver-rules=MAP {NAME} 127.0.0.1, MAP {FOREIGN} 127.0.0.1"
Serve = Callable[..., str]


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lan]:
    served = Lan(tmp_path_factory.mktemp("lan"))
    yield served
    served.stop()


@pytest.fixture(scope="module")
def line(lan: Lan) -> Line:
    return Line(lan.folder, lan.network.authority, lan.network.names)


@pytest.fixture(scope="module")
def plain(lan: Lan) -> Iterator[str]:
    with serving(lan.shed, HouseNetwork(lan.network)) as address:
        yield address.replace("localhost", NAME)


@pytest.fixture(scope="module")
def secure(lan: Lan, line: Line) -> Iterator[str]:
    with serving(lan.shed, HouseNetwork(lan.network), line.context) as address:
        yield address.replace("localhost", NAME)


def opened(browser: Any, home: Path) -> Any:
    """Start a browser whose person has this home, and knows the house's names."""
    return launch(browser.browser_type, RULES, home=home)


@pytest.fixture(scope="module")
def stranger(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Return a browser that trusts no authority of ours."""
    found = opened(browser, tmp_path_factory.mktemp("stranger"))
    yield found
    found.close()


@pytest.fixture(scope="module")
def friend(browser: Any, lan: Lan, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Return a browser that trusts the house's authority, as its person told it to."""
    tool = shutil.which("certutil")
    if tool is None:
        if os.environ.get("SUGARWRIGHT_BROWSER") == "required":
            pytest.fail("no certutil is installed, and SUGARWRIGHT_BROWSER=required")
        pytest.skip("no certutil is installed (Debian: apt-get install libnss3-tools)")
    home = tmp_path_factory.mktemp("friend")
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    file = home / "house.crt"
    file.write_bytes(lan.network.authority.der)
    for words in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "house", "-i", str(file)]):
        subprocess.run([tool, "-d", f"sql:{store}", *words], check=True, capture_output=True)
    found = opened(browser, home)
    yield found
    found.close()


def sign_in(page: Any, address: str) -> None:
    page.goto(f"{address}/more")
    page.get_by_label("Passphrase of this sugarhouse").fill(HOUSE)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{address}/more")


def test_a_phone_that_trusts_the_house_gets_all_of_it(friend: Any, secure: str) -> None:
    page = friend.new_page()
    sign_in(page, secure)
    assert page.evaluate("isSecureContext")
    assert page.evaluate("'serviceWorker' in navigator && 'wakeLock' in navigator")
    assert page.get_by_text("Opened without HTTPS").count() == 0
    page.get_by_role("button", name="Sign out here").click()
    page.wait_for_url(f"{secure}/login")
    page.goto(f"{secure}/more")
    assert page.url.startswith(f"{secure}/login")
    page.close()


def test_a_phone_that_does_not_is_warned(stranger: Any, secure: str) -> None:
    page = stranger.new_page()
    with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(secure)
    page.close()


def test_the_authority_is_not_believed_for_another_name(
    friend: Any, lan: Lan, line: Line, tmp_path: Path
) -> None:
    key, certificate = make_certificate(lan.network.authority, Places((FOREIGN,), ("127.0.0.1",)))
    shown = tmp_path / "foreign.pem"
    shown.write_bytes(key_bytes(key) + certificate.public_bytes(Encoding.PEM))
    context = Line(lan.folder, lan.network.authority, lan.network.names).context
    context.load_cert_chain(shown)
    page = friend.new_page()
    with (
        serving(lan.shed, HouseNetwork(lan.network), context) as address,
        pytest.raises(Exception, match="ERR_CERT"),
    ):
        page.goto(address.replace("localhost", FOREIGN))
    page.close()


def test_plain_http_works_without_scripts_and_says_what_it_lacks(stranger: Any, plain: str) -> None:
    context = stranger.new_context(
        java_script_enabled=False, viewport={"width": 360, "height": 740}
    )
    page = context.new_page()
    sign_in(page, plain)
    assert page.get_by_text("Opened without HTTPS").count() == 1
    page.get_by_role("link", name="Set up HTTPS on this phone").click()
    assert page.get_by_role("heading", name="Remove it again").count() == 1
    with page.expect_download() as download:
        page.get_by_role("link", name="Get sugarwright-house.crt").click()
    assert download.value.suggested_filename == "sugarwright-house.crt"
    context.close()


def test_plain_http_is_no_secure_context(stranger: Any, plain: str) -> None:
    page = stranger.new_page()
    sign_in(page, plain)
    assert not page.evaluate("isSecureContext")
    assert page.evaluate("!('serviceWorker' in navigator)")
    page.close()


@pytest.mark.parametrize("path", ["/login", "/trust", "/phone", "/more"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_guards_pages_fit_a_phone(stranger: Any, plain: str, path: str, scheme: str) -> None:
    context = stranger.new_context(viewport={"width": 360, "height": 740}, color_scheme=scheme)
    page = context.new_page()
    problems: list[str] = []
    page.on("console", lambda said: said.type == "error" and problems.append(said.text))
    if path not in ("/login", "/trust"):
        sign_in(page, plain)
    page.goto(f"{plain}{path}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    for each in page.locator(
        "button:visible, input:visible, summary:visible, a.choice:visible"
    ).all():
        if each.get_attribute("type") not in ("radio", "checkbox"):
            assert each.bounding_box()["height"] >= 48
    if path == "/login":
        page.get_by_role("button", name="Show").click()
        assert page.locator("#passphrase").get_attribute("type") == "text"
    if shots := os.environ.get("SUGARWRIGHT_SHOTS"):
        page.screenshot(path=f"{shots}/{path[1:]}-{scheme}.png", full_page=True)
    assert problems == []
    context.close()
