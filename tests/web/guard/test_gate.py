"""The gate in front of the pages, asked as phones and strangers ask it."""

from __future__ import annotations

from collections.abc import Iterator
from http.cookies import SimpleCookie
from pathlib import Path

import pytest
from fastapi.routing import iter_route_contexts
from starlette.testclient import TestClient

from sugarwright.web.app import build
from sugarwright.web.guard.doors import SAFE, is_for_logging
from sugarwright.web.guard.gate import LARGEST_BYTES
from sugarwright.web.guard.passphrases import FILE
from sugarwright.web.guard.tries import FREE
from sugarwright.web.shed import Shed
from web_network import DEMO, HELPER, HOUSE, NAME, Lan, token_in

ANYBODY = {"/login", "/trust", "/trust.crt"}


@pytest.fixture
def lan(tmp_path: Path) -> Iterator[Lan]:
    served = Lan(tmp_path)
    yield served
    served.stop()


@pytest.fixture
def here(tmp_path: Path) -> Iterator[TestClient]:
    (tmp_path / "sugarhouse.toml").write_bytes(DEMO.read_bytes())
    shed = Shed(str(tmp_path), plans=False)
    with TestClient(build(shed), base_url="http://localhost:8470") as client:
        yield client


def routes(lan: Lan) -> list[tuple[str, str]]:
    """Return each method and path of the application."""
    found = []
    for route in lan.app.routes:
        found += [(m, route.path) for m in getattr(route, "methods", None) or ()]
    for context in iter_route_contexts(lan.app.routes):
        found += [(m, context.path) for m in context.methods or ()]
    return sorted(set(found))


def test_nothing_is_reached_without_a_passphrase(lan: Lan) -> None:
    found = routes(lan)
    assert ("GET", "/") in found
    assert ("POST", "/entries") in found
    assert ("GET", "/openapi.json") in found
    stranger = lan.phone()
    for method, path in found:
        if path in ANYBODY or path.startswith("/sensors/"):
            continue
        answer = stranger.request(method, path.replace("{", "").replace("}", ""))
        ends = (303, "/login") if method in SAFE else (401, None)
        whereto = answer.headers.get("location", "").partition("?")[0] or None
        assert (answer.status_code, whereto) == ends, (method, path)
    assert stranger.get("/no-such-page").status_code == 303


def test_what_anybody_may_see_is_seen(lan: Lan) -> None:
    stranger = lan.phone()
    for path in (*ANYBODY, "/static/base.css"):
        answer = stranger.get(path)
        assert answer.status_code == 200, path
        assert "Tamarack" not in answer.text  # nothing of the house is told
    file = stranger.get("/trust.crt")
    assert file.headers["content-type"] == "application/x-x509-ca-cert"
    assert file.content == lan.network.authority.der
    assert lan.network.authority.fingerprint in stranger.get("/trust").text


def test_a_passphrase_opens_the_pages_and_signing_out_closes_them(lan: Lan) -> None:
    phone = lan.phone(HOUSE)
    assert phone.get("/more").status_code == 200
    token = token_in(phone)
    assert phone.post("/logout", data={"token": token}).status_code == 303
    assert phone.get("/more").status_code == 303


def test_an_old_cookie_is_worth_nothing_after_signing_out(lan: Lan) -> None:
    phone = lan.phone(HOUSE)
    thief = lan.phone()
    thief.cookies.update(phone.cookies)
    assert thief.get("/more").status_code == 200
    phone.post("/logout", data={"token": token_in(phone)})
    assert thief.get("/more").status_code == 303


def test_signing_all_out(lan: Lan) -> None:
    first, second, helper = lan.phone(HOUSE), lan.phone(HOUSE), lan.phone(HELPER)
    helper.post("/logout", data={"token": token_in(helper), "everyone": "yes"})
    assert second.get("/more").status_code == 200  # not for helpers
    first.post("/logout", data={"token": token_in(first), "everyone": "yes"})
    assert second.get("/more").status_code == 303


def test_a_restart_signs_nobody_out(lan: Lan) -> None:
    phone = lan.phone(HOUSE)
    lan.stop()
    lan.start()
    again = lan.phone()
    again.cookies.update(phone.cookies)
    assert again.get("/more").status_code == 200


def test_a_new_passphrase_signs_out_who_had_the_old_one(lan: Lan) -> None:
    phone, helper = lan.phone(HOUSE), lan.phone(HELPER)
    lan.network.passphrases.set("house", "quilt otter spoon river maze")
    assert phone.get("/more").status_code == 303
    assert helper.get("/more").status_code == 200


@pytest.mark.parametrize(("scheme", "prefix"), [("http", ""), ("https", "__Host-")])
def test_the_cookie_is_told_to_be_careful(lan: Lan, scheme: str, prefix: str) -> None:
    answer = lan.phone(scheme=scheme).post("/login", data={"passphrase": HOUSE})
    (cookie,) = SimpleCookie(answer.headers["set-cookie"]).values()
    assert cookie.key.startswith(f"{prefix}sugarwright-")
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"
    assert cookie["path"] == "/"
    assert not cookie["domain"]
    assert bool(cookie["secure"]) == (scheme == "https")


def test_a_wrong_passphrase_is_told_and_soon_must_wait(lan: Lan) -> None:
    stranger = lan.phone()
    for _ in range(FREE):
        assert stranger.post("/login", data={"passphrase": "wrong"}).status_code == 403
    answer = stranger.post("/login", data={"passphrase": HOUSE})  # right, but too soon
    assert answer.status_code == 429
    assert answer.headers["retry-after"] == "2"
    assert "Wait 2 seconds" in answer.text
    assert "set-cookie" not in answer.headers
    assert lan.phone(HOUSE, address="192.168.1.31").get("/more").status_code == 200
    lan.clock.now_s += 2.0
    assert stranger.post("/login", data={"passphrase": HOUSE}).status_code == 303


@pytest.mark.parametrize("onward", ["//evil.example", "https://evil.example", "/\\evil.example"])
def test_signing_in_never_leads_elsewhere(lan: Lan, onward: str) -> None:
    answer = lan.phone().post("/login", data={"passphrase": HOUSE, "next": onward})
    assert answer.headers["location"] == "/"


ENTRY = [{"key": "test-0001", "text": "lit"}]


def test_what_changes_something_needs_the_token(lan: Lan) -> None:
    phone, other = lan.phone(HOUSE), lan.phone(HOUSE)
    for token in ("", "0" * 64, token_in(other)):
        answer = phone.post("/entries", json=ENTRY, headers={"x-csrf-token": token})
        assert answer.status_code == 403
    assert phone.post("/plan", data={"token": "0" * 64}).status_code == 403
    assert phone.post("/logout").status_code == 403
    right = {"x-csrf-token": token_in(phone)}
    assert phone.post("/entries", json=ENTRY, headers=right).json()[0]["state"] == "kept"
    assert phone.post("/plan", data={"token": token_in(phone)}).status_code == 303


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"origin": f"https://{NAME}:8470"},
        {"origin": f"http://{NAME}:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_foreign_page_cannot_change_anything(
    lan: Lan, here: TestClient, headers: dict[str, str]
) -> None:
    phone = lan.phone(HOUSE)
    token = {"x-csrf-token": token_in(phone)}
    assert phone.post("/entries", json=ENTRY, headers={**token, **headers}).status_code == 403
    assert here.post("/entries", json=ENTRY, headers=headers).status_code == 403


def test_our_own_page_can(lan: Lan, here: TestClient) -> None:
    phone = lan.phone(HOUSE)
    headers = {"x-csrf-token": token_in(phone), "origin": f"http://{NAME}:8470"}
    assert phone.post("/entries", json=ENTRY, headers=headers).status_code == 200
    headers = {"origin": "http://localhost:8470", "sec-fetch-site": "same-origin"}
    assert here.post("/entries", json=ENTRY, headers=headers).status_code == 200


def test_helpers_log_and_do_not_change_the_house(lan: Lan) -> None:
    helper, maker = lan.phone(HELPER), lan.phone(HOUSE)
    of_helper, of_maker = ({"x-csrf-token": token_in(each)} for each in (helper, maker))
    assert helper.post("/entries", json=ENTRY, headers=of_helper).status_code == 200
    refused = helper.post("/house/change", data={}, headers=of_helper)
    assert refused.status_code == 403
    assert "passphrase of the house" in refused.text
    assert maker.post("/house/change", data={}, headers=of_maker).status_code != 403


def test_only_what_is_marked_may_be_done_by_helpers(lan: Lan) -> None:
    marked = {
        context.path
        for context in iter_route_contexts(lan.app.routes)
        if is_for_logging(getattr(context, "endpoint", None))
    }
    assert marked == {"/entries", "/log", "/log/undo", "/plan", "/weather", "/logout"}


@pytest.mark.parametrize("host", ["evil.example", "kitchen.local.evil.example", "8.8.8.8", ""])
def test_a_name_that_is_not_ours_reaches_nothing(lan: Lan, here: TestClient, host: str) -> None:
    for client in (lan.phone(HOUSE), here):
        for path in ("/", "/login", "/trust.crt", "/static/base.css"):
            assert client.get(path, headers={"host": host}).status_code == 421, path


@pytest.mark.parametrize("host", [NAME, "192.168.1.20:8470", "localhost", "10.0.0.7"])
def test_our_names_and_addresses_do(lan: Lan, host: str) -> None:
    assert lan.phone().get("/login", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("address", ["8.8.8.8", "2001:db8::1", "100.64.0.1", "testclient"])
def test_nobody_from_outside_the_house(lan: Lan, address: str) -> None:
    assert lan.phone(address=address).get("/login").status_code == 403


def test_alone_only_the_loopback_is_answered(here: TestClient) -> None:
    assert here.get("/more").status_code == 200
    for host in (NAME, "192.168.1.20", "10.0.0.7"):
        assert here.get("/more", headers={"host": host}).status_code == 421


def test_what_is_too_large_is_refused_before_it_is_read(lan: Lan, here: TestClient) -> None:
    for client in (lan.phone(), here):
        answer = client.post("/login", content=b"x" * (LARGEST_BYTES + 1))
        assert answer.status_code == 413
        assert client.post("/login", content=iter([b"x"])).status_code == 411


@pytest.mark.parametrize("path", ["/more", "/login", "/no-such-page", "/static/base.css"])
@pytest.mark.parametrize("scheme", ["http", "https"])
def test_headers_of_every_answer(lan: Lan, path: str, scheme: str) -> None:
    headers = lan.phone(HOUSE, scheme=scheme).get(path).headers
    policy = headers["content-security-policy"]
    for part in ("default-src 'self'", "object-src 'none'", "frame-ancestors 'none'"):
        assert part in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "geolocation=()" in headers["permissions-policy"]
    assert ("cross-origin-opener-policy" in headers) == (scheme == "https")
    assert "strict-transport-security" not in headers
    if path.startswith("/static/"):
        assert headers["etag"]
        assert "no-store" not in headers["cache-control"]
    else:
        assert headers["cache-control"] == "no-store"


def test_plain_http_says_what_it_lacks(lan: Lan) -> None:
    for path in ("/login", "/more"):
        plain = lan.phone(HOUSE).get(path).text
        assert "Opened without HTTPS" in plain
        assert 'href="/trust"' in plain
        assert "Opened without HTTPS" not in lan.phone(HOUSE, scheme="https").get(path).text


def test_a_script_is_told_in_its_own_form(lan: Lan) -> None:
    stranger = lan.phone()
    answer = stranger.get("/more", headers={"accept": "application/json"})
    assert answer.status_code == 401
    assert answer.json() == {"problem": "Sign in first: open these pages in a browser."}
    answer = stranger.get("/more", headers={"hx-request": "true"})
    assert (answer.status_code, answer.headers["hx-redirect"]) == (401, "/login")


def test_a_damaged_file_of_passphrases_closes_the_pages_in_words(lan: Lan) -> None:
    phone = lan.phone(HOUSE)
    (lan.folder / "lan" / FILE).write_bytes(b"{")
    for client, path in ((phone, "/more"), (phone, "/login")):
        answer = client.get(path)
        assert answer.status_code == 503
        assert "damaged" in answer.text


def test_a_sensor_meets_its_own_check_and_no_page(lan: Lan) -> None:
    thing, maker = lan.phone(), lan.phone(HOUSE)
    maker.post("/entries", json=ENTRY, headers={"x-csrf-token": token_in(maker)})  # begins a log
    for words in ({}, {"authorization": "Bearer wrong"}):
        answer = thing.post("/sensors/stock", json={"value": 1.0}, headers=words)
        assert answer.status_code in (401, 403, 404)
        assert "Sign in" not in answer.text
    assert thing.get("/sensors/stock").status_code == 303  # a person signs in
    foreign = {"origin": "https://evil.example"}
    assert "Another site" in thing.post("/sensors/stock", headers=foreign).text
