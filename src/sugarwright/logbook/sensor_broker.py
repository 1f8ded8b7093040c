"""Readings of sensors from an MQTT broker, taken in as long as this listens."""

from __future__ import annotations

import queue
import threading
import time
import zlib
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from sugarwright.errors import InputError, LogbookError
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.sensor_intake import readings_in, take_in
from sugarwright.logbook.sensor_register import Sensor, sensors_in

Tell = Callable[[str], None]
_PORTS = {"mqtt": 1883, "mqtts": 8883}
_LEAST_WAIT_S, _MOST_WAIT_S = 1, 120
_WAITING = 10_000
_TRY_AGAIN_S = 5.0
_LOOK_AGAIN_S = 5.0  # whether sensors were described, altered or removed meanwhile


@dataclass(frozen=True)
class Broker:
    """Where a broker is.

    Parameters
    ----------
    host, port : of it
    tls : whether it is spoken to in secret
    user, password : "" for none
    """

    host: str
    port: int
    tls: bool = False
    user: str = ""
    password: str = ""


def broker_of(address: str, login: str | Path | None = None) -> Broker:
    """Return the broker of an address like ``mqtt://host:1883``.

    Parameters
    ----------
    address : with ``mqtts`` for TLS
    login : file with user and password on two lines, so that neither stands in a command

    Raises
    ------
    InputError : the address or the file cannot be used
    """
    allowed = "mqtt://HOST:1883 or mqtts://HOST:8883"
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError:
        raise InputError("--broker", address, "is no address", allowed) from None
    if parts.scheme not in _PORTS or not parts.hostname:
        raise InputError("--broker", address, "is no address of a broker", allowed)
    if parts.username or parts.password:
        fix = "Put user and password on two lines of a file, and name it with --login"
        raise InputError("--broker", parts.hostname, "holds a password", allowed, fix)
    user, password = ("", "") if login is None else _login(Path(login))
    return Broker(
        parts.hostname, port or _PORTS[parts.scheme], parts.scheme == "mqtts", user, password
    )


def _login(path: Path) -> tuple[str, str]:
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError) as problem:
        raise InputError("--login", str(path), f"cannot be read ({problem})") from None
    if not lines:
        raise InputError("--login", str(path), "is empty", "user and password on two lines")
    return lines[0].strip(), lines[1].strip() if len(lines) > 1 else ""


class Listener:
    """Listens to the topics of a folder's sensors; a thread keeps what comes.

    A message is acknowledged to the broker when it is on the disk, so that one that a stopped
    program had not kept is sent again.
    """

    def __init__(self, folder: str | Path, broker: Broker, tell: Tell) -> None:
        self.counts: Counter[str] = Counter()
        self._folder, self._broker, self._tell = folder, broker, tell
        self._messages: queue.Queue[Any] = queue.Queue(_WAITING)
        self._stop = threading.Event()
        self._sensors = self._described()
        if not self._sensors:
            fix = "`sugarwright sensor add ... --topic TOPIC` tells one"
            raise InputError("sensors", None, "none has a topic to listen to", fix=fix)
        self._client = self._made()
        self._keeper = threading.Thread(target=self._keep_all, name="sensors", daemon=True)

    def _described(self) -> dict[str, Sensor]:
        with Logbook.open(self._folder, create=False) as book:
            return {each.topic: each for each in sensors_in(book).values() if each.topic}

    def start(self) -> None:
        """Begin to listen; a broker that is not there yet is tried again, ever more slowly."""
        self._keeper.start()
        self._client.connect_async(self._broker.host, self._broker.port)
        self._client.loop_start()

    def stop(self) -> None:
        """End it; what came is kept before."""
        self._client.disconnect()
        self._client.loop_stop()
        self._stop.set()
        self._keeper.join(10.0)

    def _made(self) -> Any:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion

        mark = zlib.crc32(str(Path(self._folder).absolute()).encode())
        client = Client(  # known to the broker again, which sends what was not acknowledged
            CallbackAPIVersion.VERSION2,
            client_id=f"sugarwright-{mark:08x}",
            clean_session=False,
            manual_ack=True,
        )
        client.reconnect_delay_set(_LEAST_WAIT_S, _MOST_WAIT_S)
        if self._broker.user:
            client.username_pw_set(self._broker.user, self._broker.password)
        if self._broker.tls:
            client.tls_set()
        client.on_connect = self._connected
        client.on_disconnect = self._disconnected
        client.on_message = self._came
        return client

    def _connected(self, client: Any, _data: Any, _flags: Any, code: Any, _more: Any) -> None:
        if code.is_failure:
            self._tell(f"The broker refuses: {code}.")
            return
        if self._sensors:
            client.subscribe([(topic, 1) for topic in self._sensors])
        self._tell(f"Listening to {len(self._sensors)} topics of {self._broker.host}.")

    def _disconnected(self, _client: Any, _data: Any, _flags: Any, code: Any, _more: Any) -> None:
        if code.is_failure:
            self._tell("The broker is gone; it is tried again.")

    def _came(self, _client: Any, _data: Any, message: Any) -> None:
        try:
            self._messages.put_nowait((message, time.time()))
        except queue.Full:
            self.counts["dropped"] += 1

    def _keep_all(self) -> None:
        looked_s = time.monotonic()
        while not (self._stop.is_set() and self._messages.empty()):
            if time.monotonic() - looked_s > _LOOK_AGAIN_S:
                self._look_again()
                looked_s = time.monotonic()
            try:
                message, now_s = self._messages.get(timeout=0.2)
            except queue.Empty:
                continue
            self._keep(message, now_s)

    def _look_again(self) -> None:
        """Take up the sensors as they are described by now."""
        try:
            found = self._described()
        except InputError:
            return  # those known go on; the next message tells what is wrong
        before, self._sensors = self._sensors, found
        if new := sorted(found.keys() - before.keys()):
            self._client.subscribe([(topic, 1) for topic in new])
        if gone := sorted(before.keys() - found.keys()):
            self._client.unsubscribe(gone)
        if new or gone:
            self._tell(f"Listening to {len(found)} topics now: sensors were added or removed.")

    def _keep(self, message: Any, now_s: float) -> None:
        sensor = self._sensors.get(message.topic)
        if sensor is None:  # removed while its message waited
            self._client.ack(message.mid, message.qos)
            return
        while True:
            try:
                rows = readings_in(message.payload)
                with Logbook.open(self._folder, create=False) as book:
                    answer = take_in(book, sensor, rows, now_s)
            except LogbookError as problem:
                self._tell(str(problem))
                if self._stop.wait(_TRY_AGAIN_S):
                    return  # not acknowledged: the broker still has it
                continue
            except InputError as problem:
                self._broken(sensor, str(problem))
            else:
                self.counts["kept"] += answer.kept
                for each in answer.refused[:1]:
                    self._broken(sensor, each.why)
            self._client.ack(message.mid, message.qos)
            return

    def _broken(self, sensor: Sensor, why: str) -> None:
        self.counts["refused"] += 1
        if self.counts["refused"] in (1, 10) or self.counts["refused"] % 100 == 0:
            self._tell(f"{sensor.series}: {self.counts['refused']} not usable; the last: {why}")
