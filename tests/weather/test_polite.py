"""How services are asked: politely, patiently, and never for too long."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sugarwright.errors import ServiceError
from sugarwright.weather.services.answers import fresh_until_s, retry_after_s
from sugarwright.weather.services.polite import Manners, PoliteAsker
from weather_loopback import NOW_S, Loopback, refusing, serving

AGENT = "sugarwright-tests/1 (maker@example.org)"


class Clock:
    """A clock that moves only when somebody sleeps."""

    def __init__(self) -> None:
        self.now_s = float(NOW_S)
        self.slept: list[float] = []

    def __call__(self) -> float:
        return self.now_s

    def sleep(self, duration_s: float) -> None:
        self.slept.append(duration_s)
        self.now_s += duration_s


@pytest.fixture
def web() -> Iterator[Loopback]:
    with serving() as loopback:
        yield loopback


@pytest.fixture
def clock() -> Clock:
    return Clock()


def asker(folder: Path, clock: Clock, **manners: Any) -> PoliteAsker:
    return PoliteAsker(folder / "kept", Manners(AGENT, **manners), clock, clock.sleep)


def test_who_asks_is_said(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = {"a": 1}
    with asker(tmp_path, clock) as ask:
        assert ask.json("X", f"{web.url}/x", {"lat": 44.26}).document == {"a": 1}
    ((_, query, headers),) = web.asked
    assert headers["User-Agent"] == AGENT
    assert query == {"lat": "44.26"}


def test_never_more_than_hourly_and_across_runs(
    web: Loopback, tmp_path: Path, clock: Clock
) -> None:
    web.answers["/x"] = {"a": 1}
    for after_s, asked in ((0, 1), (1800, 1), (1799, 1), (2, 2)):
        clock.now_s += after_s
        with asker(tmp_path, clock) as ask:
            ask.json("X", f"{web.url}/x")
        assert web.count() == asked


def test_longer_where_the_service_says_so(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = lambda *asked: (200, {"Cache-Control": "max-age=7200"}, b"{}")
    with asker(tmp_path, clock) as ask:
        ask.json("X", f"{web.url}/x")
        clock.now_s += 7000
        ask.json("X", f"{web.url}/x")
        assert web.count() == 1
        clock.now_s += 300
        ask.json("X", f"{web.url}/x")
        assert web.count() == 2


def test_asks_whether_it_has_changed(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    modified = "Tue, 09 Mar 2027 10:41:00 GMT"

    def answer(path: str, query: dict[str, str], headers: dict[str, str]) -> tuple[int, Any, bytes]:
        if headers.get("If-Modified-Since") == modified and headers.get("If-None-Match") == '"v1"':
            return 304, {}, b""
        return 200, {"Last-Modified": modified, "ETag": '"v1"'}, b'{"a": 1}'

    web.answers["/x"] = answer
    with asker(tmp_path, clock) as ask:
        first = ask.json("X", f"{web.url}/x")
        clock.now_s += 4000
        again = ask.json("X", f"{web.url}/x")
    assert again.document == first.document
    assert again.fetched_s == first.fetched_s  # the same version, not a newer one
    assert web.count() == 2


def test_a_key_is_sent_and_written_nowhere(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = {"a": 1}
    with asker(tmp_path, clock) as ask:
        ask.json("X", f"{web.url}/x", {"lat": 1}, {"apikey": "hush-hush"})
    assert web.asked[0][1]["apikey"] == "hush-hush"
    for path in tmp_path.rglob("*"):
        assert path.is_dir() or "hush" not in path.read_text()


@pytest.mark.parametrize("status", [429, 500, 503])
def test_tries_again_after_a_while(
    web: Loopback, tmp_path: Path, clock: Clock, status: int
) -> None:
    left = [1, 1]

    def answer(*asked: Any) -> tuple[int, dict[str, str], bytes]:
        return (status, {"Retry-After": "3"}, b"") if left and left.pop() else (200, {}, b"{}")

    web.answers["/x"] = answer
    with asker(tmp_path, clock) as ask:
        assert ask.json("X", f"{web.url}/x").document == {}
    assert clock.slept == [3.0, 3.0]


def test_a_long_wait_is_kept_for_the_next_time(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = refusing(429, {"Retry-After": "1800"})
    for _ in range(2):
        with asker(tmp_path, clock) as ask, pytest.raises(ServiceError, match=r"429|again before"):
            ask.json("X", f"{web.url}/x")
    assert web.count() == 1
    assert clock.slept == []
    clock.now_s += 1801
    web.answers["/x"] = {}
    with asker(tmp_path, clock) as ask:
        ask.json("X", f"{web.url}/x")
    assert web.count() == 2


def test_gives_up_within_its_time(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = refusing(502)
    with asker(tmp_path, clock, total_s=12.0) as ask, pytest.raises(ServiceError, match="502"):
        ask.json("X", f"{web.url}/x")
    assert sum(clock.slept) < 12.0
    assert web.count() == len(clock.slept) + 1


def test_a_slow_answer_is_not_waited_for(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = {}
    web.delay_s = 0.4
    with (
        asker(tmp_path, clock, timeout_s=0.05) as ask,
        pytest.raises(ServiceError, match=r"did not answer within 0\.05 s"),
    ):
        ask.json("Slow service", f"{web.url}/x")


def test_nobody_there(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    with asker(tmp_path, clock) as ask, pytest.raises(ServiceError, match="was not reached") as got:
        ask.json("X", "http://127.0.0.1:9/x")
    assert "the connection was refused" in str(got.value)
    assert "tonight's low" in str(got.value)
    assert len(clock.slept) == 1


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"<html><body>Please sign in</body></html>", "web page"),
        (b'{"properties": {"tempera', "cut off"),
        (b"", "sent nothing"),
        (b"[1, 2]", "no JSON object"),
        (b'{"error": true, "reason": "Latitude out of range"}', "Latitude out of range"),
        (b"\xff\xfe\x00", "cut off or damaged"),
        (b"[" * 100_000, "cut off or damaged"),
    ],
)
def test_what_is_no_data_is_said_and_not_kept(
    web: Loopback, tmp_path: Path, clock: Clock, body: bytes, said: str
) -> None:
    web.answers["/x"] = lambda *asked: (200, {"Cache-Control": "max-age=9999"}, body)
    with asker(tmp_path, clock) as ask:
        with pytest.raises(ServiceError, match=said):
            ask.json("X", f"{web.url}/x")
        web.answers["/x"] = {"a": 1}
        assert ask.json("X", f"{web.url}/x").document == {"a": 1}


def test_a_body_cut_on_the_way(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = {"a": 1}
    web.cut = True
    with asker(tmp_path, clock) as ask, pytest.raises(ServiceError, match="was not reached"):
        ask.json("X", f"{web.url}/x")


def test_a_huge_body_is_not_read_to_its_end(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/x"] = {"a": "x" * 300_000}
    with asker(tmp_path, clock, most_bytes=100_000) as ask, pytest.raises(ServiceError, match="MB"):
        ask.json("X", f"{web.url}/x")


def test_follows_a_redirect_but_no_circle(web: Loopback, tmp_path: Path, clock: Clock) -> None:
    web.answers["/old"] = refusing(301, {"Location": f"{web.url}/new"})
    web.answers["/new"] = {"a": 1}
    web.answers["/ring"] = refusing(302, {"Location": f"{web.url}/ring"})
    with asker(tmp_path, clock) as ask:
        assert ask.json("X", f"{web.url}/old").document == {"a": 1}
        with pytest.raises(ServiceError, match="from one address to the next"):
            ask.json("X", f"{web.url}/ring")


@pytest.mark.parametrize("status", [400, 403, 404])
def test_a_refusal_is_told_with_its_reason_and_not_repeated(
    web: Loopback, tmp_path: Path, clock: Clock, status: int
) -> None:
    web.answers["/x"] = refusing(status, {}, json.dumps({"detail": "because so"}).encode())
    with asker(tmp_path, clock) as ask, pytest.raises(ServiceError, match="because so"):
        ask.json("X", f"{web.url}/x")
    assert web.count() == 1


@pytest.mark.parametrize("url", ["file:///etc/hosts", "nonsense", "ftp://x.org/"])
def test_an_address_that_is_none(tmp_path: Path, clock: Clock, url: str) -> None:
    with asker(tmp_path, clock) as ask, pytest.raises(ServiceError, match="address"):
        ask.json("X", url)


def test_a_damaged_kept_answer_is_asked_for_again(
    web: Loopback, tmp_path: Path, clock: Clock
) -> None:
    web.answers["/x"] = {"a": 1}
    with asker(tmp_path, clock) as ask:
        ask.json("X", f"{web.url}/x")
        (kept,) = (tmp_path / "kept").iterdir()
        kept.write_text('{"url": 3')
        assert ask.json("X", f"{web.url}/x").document == {"a": 1}
    assert web.count() == 2


# RFC 9111 section 4.2 (freshness), RFC 9110 section 10.2.3 (Retry-After)
@pytest.mark.parametrize(
    ("headers", "after_s"),
    [
        ({"Cache-Control": "public, max-age=600"}, 600),
        ({"Cache-Control": "max-age=600", "Age": "100"}, 500),
        ({"Cache-Control": "max-age=60", "Expires": "Tue, 09 Mar 2027 12:20:00 GMT"}, 60),
        ({"Expires": "Tue, 09 Mar 2027 12:20:00 GMT"}, 3600),
        ({"Expires": "0"}, 0),
        ({"Cache-Control": "no-store"}, 0),
        ({}, 0),
    ],
)
def test_how_long_an_answer_holds(headers: dict[str, str], after_s: int) -> None:
    assert fresh_until_s(headers, NOW_S) - NOW_S == after_s


@pytest.mark.parametrize(
    ("text", "after_s"),
    [("120", 120.0), ("Tue, 09 Mar 2027 11:21:00 GMT", 60.0), ("soon", None), ("-5", None)],
)
def test_how_long_to_wait(text: str, after_s: float | None) -> None:
    assert retry_after_s({"Retry-After": text}, NOW_S) == after_s
