"""Passphrases: how they are kept, and which are refused."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest

from sources import source
from sugarwright.errors import GuardError
from sugarwright.web.guard import passphrase as one
from sugarwright.web.guard.passphrase import COST, Cost, Hashed, check_strength, hashed, suggested
from sugarwright.web.guard.passphrases import FILE, Passphrases
from sugarwright.web.guard.words import WORDS
from web_network import HELPER, HOUSE, QUICK


@source("Percival, Josefsson, RFC 7914 (2016)", "section 12, first 16 bytes", "memory")
@pytest.mark.parametrize(
    ("words", "salt", "cost", "first"),
    [
        ("pleaseletmein", b"SodiumChloride", Cost(16384, 8, 1), "7023bdcb3afd7348461c06cd81fd38eb"),
        ("password", b"NaCl", Cost(1024, 8, 16), "fdbabe1c9d3472007856e7190d01e9fe"),
    ],
)
def test_the_hash_is_that_of_the_standard(words: str, salt: bytes, cost: Cost, first: str) -> None:
    assert one._digest(words, cost, salt).hex().startswith(first)


def test_the_right_one_is_right_and_others_are_not() -> None:
    kept = hashed("kettle moss lantern oak", QUICK)
    assert one.is_right("kettle moss lantern oak", kept)
    assert one.is_right("  kettle  moss lantern oak ", kept)  # a phone's keyboard adds spaces
    assert not one.is_right("kettle moss lantern oaks", kept)
    assert not one.is_right("", kept)
    assert not one.is_right("\ud800", kept)


def test_two_of_the_same_words_are_kept_differently() -> None:
    first, second = (hashed(HOUSE, QUICK) for _ in range(2))
    assert first.salt != second.salt
    assert first.digest != second.digest


def test_a_try_costs_what_the_guidance_asks() -> None:
    # OWASP, "Password Storage Cheat Sheet" (2024), scrypt: N=2^15 with r=8 and p=3, or its equals.
    assert (COST.n, COST.r, COST.p) == (2**15, 8, 3)


@pytest.mark.parametrize(
    "weak",
    [
        "",
        "short words",
        "aaaaaaaaaaaaaaaa",
        "123456789012345",
        "passwordpassword",
        "Sugarhouse12345",
        "qwertyuiopasdf",
        "abababababababab",
        "x" * 201,
        "kettle moss\x00lantern oak",
    ],
)
def test_weak_ones_are_refused_and_never_quoted(weak: str) -> None:
    with pytest.raises(GuardError) as refusal:
        check_strength(weak)
    assert not weak or weak not in str(refusal.value)


def test_suggested_ones_are_strong_and_by_chance() -> None:
    assert len(set(WORDS)) == len(WORDS) == 256
    found = {suggested() for _ in range(50)}
    assert len(found) == 50
    for each in found:
        check_strength(each)


@pytest.mark.skipif(os.name != "posix", reason="modes of files are those of POSIX")
def test_the_files_are_for_their_owner_alone(tmp_path: Path) -> None:
    Passphrases(tmp_path, QUICK).set("house", HOUSE)
    path = tmp_path / "lan" / FILE
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    path.chmod(0o644)  # as a copy from a stick
    Passphrases(tmp_path, QUICK).marks()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_each_opens_its_own_role(tmp_path: Path) -> None:
    kept = Passphrases(tmp_path, QUICK)
    kept.set("house", HOUSE)
    kept.set("log", HELPER)
    again = Passphrases(tmp_path)
    roles = [opened and opened.role for opened in map(again.opened_by, (HOUSE, HELPER, "x" * 20))]
    assert roles == ["house", "log", None]
    assert HOUSE.encode() not in (tmp_path / "lan" / FILE).read_bytes()
    kept.remove("log")
    assert again.opened_by(HELPER) is None


def test_two_roles_never_share_one(tmp_path: Path) -> None:
    kept = Passphrases(tmp_path, QUICK)
    kept.set("house", HOUSE)
    with pytest.raises(GuardError, match="other"):
        kept.set("log", HOUSE)


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{",
        b"[]",
        b'{"form": 9}',
        b"\xff\xfe",
        json.dumps({"form": 1, "house": {"method": "scrypt", "n": 2, "r": 8, "p": 1}}).encode(),
        json.dumps(
            {
                "form": 1,
                "house": {
                    "method": "scrypt", "n": 2**40, "r": 8, "p": 1,
                    "salt": "00" * 16, "digest": "00" * 32,
                },
            }
        ).encode(),
        json.dumps(
            {
                "form": 1,
                "house": {
                    "method": "scrypt", "n": 2, "r": 8, "p": 1, "salt": "00" * 16, "digest": "",
                },
            }
        ).encode(),
    ],
)  # fmt: skip
def test_a_damaged_file_lets_nobody_in_and_says_so(tmp_path: Path, damage: bytes) -> None:
    kept = Passphrases(tmp_path, QUICK)
    kept.set("house", HOUSE)
    (tmp_path / "lan" / FILE).write_bytes(damage)
    with pytest.raises(GuardError, match="sugarwright passphrase"):
        Passphrases(tmp_path, QUICK).opened_by(HOUSE)


def test_an_empty_digest_never_matches() -> None:
    assert not one.is_right("", Hashed(QUICK, b"0" * 16, b""))
