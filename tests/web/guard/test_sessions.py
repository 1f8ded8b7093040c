"""Sessions, tokens and tries."""

from __future__ import annotations

import hashlib
import hmac
from pathlib import Path

import pytest

from sugarwright.web.guard.passphrases import Opened
from sugarwright.web.guard.sessions import FILE, IDLE_S, LONGEST_S, Sessions
from sugarwright.web.guard.tokens import is_token, token_of
from sugarwright.web.guard.tries import FREE, FREE_OF_ALL, LONGEST_OF_ALL_S, Tries
from sugarwright.web.guard.tries import LONGEST_S as LONGEST_WAIT_S
from web_network import Clock

OPENED = Opened("log", "ab" * 16)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def sessions(tmp_path: Path, clock: Clock) -> Sessions:
    return Sessions(tmp_path, clock)


def test_a_restart_signs_nobody_out(sessions: Sessions, tmp_path: Path, clock: Clock) -> None:
    secret = sessions.begin(OPENED)
    found = Sessions(tmp_path, clock).find(secret)
    assert found is not None
    assert (found.role, found.mark) == ("log", OPENED.mark)


def test_the_file_does_not_give_a_session_away(sessions: Sessions, tmp_path: Path) -> None:
    secret = sessions.begin(OPENED)
    kept = (tmp_path / "lan" / FILE).read_text()
    assert secret not in kept
    assert hashlib.sha256(secret.encode()).hexdigest() in kept
    assert sessions.find(hashlib.sha256(secret.encode()).hexdigest()) is None


def test_secrets_have_256_bits_and_never_come_twice(sessions: Sessions) -> None:
    secrets = [sessions.begin(OPENED) for _ in range(20)]
    assert len(set(secrets)) == 20
    assert all(len(each) == 43 for each in secrets)  # 32 bytes in 64 letters


def test_who_never_comes_is_out_after_a_while(sessions: Sessions, clock: Clock) -> None:
    secret = sessions.begin(OPENED)
    clock.now_s += IDLE_S - 1
    assert sessions.find(secret) is not None
    clock.now_s += IDLE_S - 1
    assert sessions.find(secret) is not None  # it was used in between
    clock.now_s += IDLE_S + 1
    assert sessions.find(secret) is None


def test_no_session_lasts_to_the_next_season(sessions: Sessions, clock: Clock) -> None:
    secret, begun_s = sessions.begin(OPENED), clock.now_s
    while clock.now_s < begun_s + LONGEST_S:
        assert sessions.find(secret) is not None
        clock.now_s += IDLE_S / 2
    assert sessions.find(secret) is None


def test_signing_out_ends_one_and_signing_all_out_ends_each(sessions: Sessions) -> None:
    first, second, third = (sessions.begin(OPENED) for _ in range(3))
    sessions.end(first)
    assert [sessions.find(each) is None for each in (first, second, third)] == [True, False, False]
    assert sessions.end_all() == 2
    assert sessions.find(second) is None


def test_another_process_may_sign_all_out(sessions: Sessions, tmp_path: Path, clock: Clock) -> None:
    secret = sessions.begin(OPENED)
    assert sessions.find(secret) is not None
    Sessions(tmp_path, clock).end_all()
    assert sessions.find(secret) is None


@pytest.mark.parametrize(
    "damage",
    [b"", b"{}", b'{"form": 1, "sessions": []}', b"\xff", b'{"form":1,"sessions":{"a":{"b":1}}}'],
)
def test_a_damaged_file_signs_all_out_and_nothing_worse(
    sessions: Sessions, tmp_path: Path, damage: bytes
) -> None:
    secret = sessions.begin(OPENED)
    assert not sessions.is_damaged()
    (tmp_path / "lan" / FILE).write_bytes(damage)
    assert sessions.find(secret) is None
    assert sessions.is_damaged()
    assert sessions.find(sessions.begin(OPENED)) is not None
    assert not sessions.is_damaged()


def test_a_token_is_of_one_session() -> None:
    # HMAC as the standard library of Python computes it from RFC 2104's definition.
    assert token_of("secret") == hmac.digest(b"secret", b"form", "sha256").hex()
    assert is_token(token_of("secret"), "secret")
    for wrong in ("", "é", "\ud800", token_of("other"), token_of("secret")[:-1]):
        assert not is_token(wrong, "secret")


def test_the_wait_grows_with_each_wrong_try(clock: Clock) -> None:
    tries, waits = Tries(clock), []
    assert [tries.take("a") for _ in range(FREE)] == [0.0] * FREE
    for _ in range(8):
        wait_s = tries.take("a")
        waits.append(wait_s)
        clock.now_s += wait_s - 0.5
        assert tries.take("a") == pytest.approx(0.5)  # asking early neither helps nor harms
        clock.now_s += 0.5
        assert tries.take("a") == 0.0
    assert waits[:5] == [2.0, 4.0, 8.0, 16.0, 32.0]
    assert waits == sorted(waits)
    assert max(waits) <= LONGEST_WAIT_S


def test_a_right_try_does_not_wipe_out_wrong_ones(clock: Clock) -> None:
    tries = Tries(clock)
    for _ in range(FREE):
        assert tries.take("a") == 0.0
    tries.was_right("a")
    assert tries.take("a") == 0.0
    assert tries.take("a") > 0.0


def test_many_addresses_together_wait_too_but_not_long(clock: Clock) -> None:
    tries = Tries(clock)
    waits = []
    for place in range(FREE_OF_ALL + 40):
        waits.append(tries.take(f"192.168.1.{place}"))
        clock.now_s += waits[-1]
        tries.take(f"192.168.1.{place}")
    assert waits[:10] == [0.0] * 10
    assert 0.0 < max(waits) <= LONGEST_OF_ALL_S


def test_wrong_tries_are_forgotten_after_an_hour(clock: Clock) -> None:
    tries = Tries(clock)
    for _ in range(FREE):
        tries.take("a")
    assert tries.take("a") > 0.0
    clock.now_s += 3601.0
    assert tries.take("a") == 0.0
