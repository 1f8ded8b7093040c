"""Readings that sensors send: by HTTP and by a broker, each kept once, each judged alone."""

from __future__ import annotations

import asyncio
import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from killing import killed
from sugarwright.errors import InputError
from sugarwright.logbook import sensor_broker
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensor_broker import Listener, broker_of
from sugarwright.logbook.sensor_intake import AHEAD_S, readings_in, take_in
from sugarwright.logbook.sensor_register import (
    Sensor,
    keep_sensors,
    sensors_in,
    with_new_token,
)
from sugarwright.web.sensors_in import Pace, router

NOW_S = 1_804_568_400.0  # 2027-03-09 05:00Z, an invented spring
LEVEL = Sensor("sap-level", "sap", "depth", "mm", 0.01, topic="shed/sap")


def with_sensor(folder: Path, sensor: Sensor = LEVEL) -> str:
    made, token = with_new_token(sensor)
    with Logbook.open(folder) as book:
        keep_sensors(book, {sensor.series: made}, NOW_S)
    return token


def client(folder: Path, pace: Pace | None = None) -> TestClient:
    app = FastAPI()
    app.include_router(router)
    app.state.shed = SimpleNamespace(folder=folder)
    app.state.sensor_pace = pace or Pace()
    return TestClient(app)


def kept(folder: Path, series: str = "sap-level") -> tuple[tuple[float, float], ...]:
    with Logbook.open(folder) as book:
        return book.sensor(series, 0.0, 1e11)


def test_an_inch_is_what_it_is_and_from_above_is_turned_round() -> None:
    assert LEVEL.in_si(1.0, "in") == pytest.approx(0.0254, rel=1e-12)  # exact by definition
    above = Sensor("a", "sap", "depth", "mm", 0.01, offset=1.1, from_above=True)
    assert above.in_si(300.0) == pytest.approx(0.8)


def test_each_reading_is_judged_alone(tmp_path: Path) -> None:
    rows = [
        {"value": 300, "at": NOW_S - 60.0},
        {"value": 301, "at": NOW_S + AHEAD_S + 1.0},
        {"value": "302", "at": NOW_S},
        {"value": 303, "at": "2027-03-09T05:00:00"},
        {"value": 303, "unit": "gal", "at": NOW_S},
        {"value": 304, "at": "2027-03-09T00:00:00-05:00"},
        float("nan"),
        {"value": 10**400},
        {"value": 5, "level": 3},
    ]
    with Logbook.open(tmp_path) as book:
        answer = take_in(book, LEVEL, rows, NOW_S)
    assert (answer.kept, answer.refused_count) == (2, 7)
    assert [each.number for each in answer.refused] == [1, 2, 3, 4, 6, 7, 8]
    assert kept(tmp_path) == ((NOW_S - 60.0, 0.3), (NOW_S, pytest.approx(0.304)))


def test_a_message_is_a_number_a_reading_or_a_list() -> None:
    assert readings_in(b"4.2") == [4.2]
    assert readings_in(b'{"value": 1}') == [{"value": 1}]
    assert readings_in(b"[1, 2]") == [1, 2]
    with pytest.raises(InputError, match="no JSON"):
        readings_in(b"\xff{")
    with pytest.raises(InputError, match="too many"):
        readings_in(json.dumps([1] * 10_001).encode())


def test_a_buffer_sent_twice_or_out_of_order_is_kept_once(tmp_path: Path) -> None:
    token, web = with_sensor(tmp_path), client(tmp_path)
    head = {"Authorization": f"Bearer {token}"}
    now_s = time.time()
    rows = [{"value": 300 + 5 * n, "at": now_s - 60.0 * n} for n in range(20)]
    late, first = rows[10:], rows[:10]
    assert web.post("/sensors/sap-level", json=first, headers=head).json()["kept"] == 10
    assert web.post("/sensors/sap-level", json=late[::-1], headers=head).json()["kept"] == 10
    again = web.post("/sensors/sap-level", json=rows, headers=head)
    assert (again.status_code, again.json()["kept"], again.json()["said_before"]) == (200, 0, 20)
    assert len(kept(tmp_path)) == 20


def test_only_its_own_token_opens_a_series(tmp_path: Path) -> None:
    token, web = with_sensor(tmp_path), client(tmp_path)
    for head in ({}, {"Authorization": "Bearer x"}, {"Authorization": "Bearer "}):
        answer = web.post("/sensors/sap-level", json=3, headers=head)
        assert answer.status_code == 401
    good = {"Authorization": f"Bearer {token}"}
    assert web.post("/sensors/other", json=3, headers=good).status_code == 401
    assert kept(tmp_path) == ()
    with Logbook.open(tmp_path) as book:
        assert token not in json.dumps(book.knowledge("sensors"))
        keep_sensors(book, {}, NOW_S)  # removed
    assert web.post("/sensors/sap-level", json=3, headers=good).status_code == 401


def test_too_long_too_often_and_no_json_are_refused_in_words(tmp_path: Path) -> None:
    token = with_sensor(tmp_path)
    head = {"Authorization": f"Bearer {token}"}
    web = client(tmp_path, Pace(most=3))
    assert web.post("/sensors/sap-level", content=b"x" * 1_000_001, headers=head).status_code == 413
    assert "no JSON" in web.post("/sensors/sap-level", content=b"{", headers=head).json()["why"]
    assert web.post("/sensors/sap-level", json=300, headers=head).json()["kept"] == 1
    assert web.post("/sensors/sap-level", json=300, headers=head).status_code == 429


def test_killed_in_the_midst_nothing_answered_is_lost_and_none_is_there_twice(
    tmp_path: Path,
) -> None:
    with_sensor(tmp_path)
    answered: set[float] = set()
    for attempt in range(12):

        def work(tell: Callable[[str], None], attempt: int = attempt) -> None:
            for n in range(10_000):
                at_s = NOW_S + 1000.0 * attempt + n * 0.01
                with Logbook.open(tmp_path) as book:
                    take_in(book, LEVEL, [{"value": n % 7 * 50, "at": at_s}], at_s)
                tell(repr(at_s))

        answered |= {float(line) for line in killed(work, 0.01 * attempt, lines=2)}
    times = [time_s for time_s, _ in kept(tmp_path)]
    assert len(answered) >= 24
    assert answered <= set(times)
    assert len(times) == len(set(times))


@contextmanager
def broker() -> Iterator[int]:
    """A real broker on a free port of this machine, until the end."""
    from amqtt.broker import Broker

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    loop = asyncio.new_event_loop()
    ready, ended = threading.Event(), asyncio.Event()

    async def serve() -> None:
        config = {
            "listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{port}"}},
            "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {}},
        }
        here = Broker(config)
        await here.start()
        ready.set()
        await ended.wait()
        await here.shutdown()

    thread = threading.Thread(target=loop.run_until_complete, args=(serve(),), daemon=True)
    thread.start()
    assert ready.wait(20.0)
    try:
        yield port
    finally:
        loop.call_soon_threadsafe(ended.set)
        thread.join(20.0)


def until(true: Callable[[], bool]) -> None:
    for _ in range(400):
        if true():
            return
        time.sleep(0.05)
    raise AssertionError("it did not come")


def test_a_broker_brings_readings_and_broken_ones_are_told_and_passed_over(tmp_path: Path) -> None:
    from paho.mqtt.publish import single

    with_sensor(tmp_path)
    told: list[str] = []
    with broker() as port:
        listener = Listener(tmp_path, broker_of(f"mqtt://127.0.0.1:{port}"), told.append)
        listener.start()
        try:
            until(lambda: any("Listening" in each for each in told))
            for payload in ("not a number", "300", '{"value": 12, "unit": "in"}'):
                single("shed/sap", payload, qos=1, hostname="127.0.0.1", port=port)
            until(lambda: listener.counts["kept"] == 2)
        finally:
            listener.stop()
    assert [value for _, value in kept(tmp_path)] == pytest.approx([0.3, 0.3048])
    assert listener.counts["refused"] == 1
    assert any("no JSON" in each for each in told)


def test_sensors_described_while_it_listens_are_taken_up_and_removed_ones_let_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from paho.mqtt.publish import single

    monkeypatch.setattr(sensor_broker, "_LOOK_AGAIN_S", 0.1)
    other = Sensor("stock-level", "stock", "depth", "cm", 0.01, topic="shed/stock")
    with_sensor(tmp_path)
    told: list[str] = []
    with broker() as port:
        listener = Listener(tmp_path, broker_of(f"mqtt://127.0.0.1:{port}"), told.append)
        listener.start()
        try:
            until(lambda: any("Listening to 1 topics" in each for each in told))
            with_sensor(tmp_path, other)  # and no longer the first
            until(lambda: any("added or removed" in each for each in told))
            for topic in ("shed/sap", "shed/stock"):
                single(topic, "30", qos=1, hostname="127.0.0.1", port=port)
            until(lambda: listener.counts["kept"] == 1)
        finally:
            listener.stop()
    assert [value for _, value in kept(tmp_path, "stock-level")] == pytest.approx([0.3])
    assert kept(tmp_path) == ()


def test_a_folder_without_logbook_is_not_told_to_who_posts(tmp_path: Path) -> None:
    answer = client(tmp_path).post("/sensors/sap-level", json=3)
    assert answer.status_code == 503
    assert "Send it again" in answer.json()["why"]
    assert str(tmp_path) not in answer.text
    assert tmp_path.name not in answer.text


def test_a_broker_is_told_without_a_password_in_the_address(tmp_path: Path) -> None:
    login = tmp_path / "login"
    login.write_text("ann\nsecret\n", encoding="utf-8")
    found = broker_of("mqtts://shed.example", login)
    assert (found.port, found.tls, found.user, found.password) == (8883, True, "ann", "secret")
    for address in ("shed:1883", "http://shed", "mqtt://a:b@shed", "mqtt://shed:99999"):
        with pytest.raises(InputError):
            broker_of(address)


def test_the_register_comes_back_as_it_was(tmp_path: Path) -> None:
    with_sensor(tmp_path)
    with Logbook.open(tmp_path) as book:
        found = sensors_in(book)["sap-level"]
    assert found.in_si(5.0) == LEVEL.in_si(5.0)
    assert len(found.token_hash) == 64
