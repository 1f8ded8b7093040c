"""A passphrase: what is strong enough, how it is kept, one to suggest."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from dataclasses import dataclass

from sugarwright.errors import GuardError
from sugarwright.web.guard.words import WORDS

LEAST_LETTERS, MOST_LETTERS, LEAST_DIFFERENT = 12, 200, 6
SUGGESTED_WORDS = 5
_RUNS = (
    "abcdefghijklmnopqrstuvwxyz",
    "01234567890123456789",
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiopasdfghjklyxcvbnm",
    "azertyuiopqsdfghjklmwxcvbn",
)
_TOO_KNOWN = ("password", "passphrase", "sugarwright", "sugarhouse", "letmein", "maplesyrup")


@dataclass(frozen=True)
class Cost:
    """How much work one try takes (RFC 7914): memory is 128 n r bytes, time goes with n r p."""

    n: int
    r: int
    p: int


COST = Cost(n=2**15, r=8, p=3)
"""32 MiB and some 0.4 s: of the equally strong settings in OWASP's "Password Storage Cheat Sheet"
(2024) the one whose memory a small computer spares."""


@dataclass(frozen=True)
class Hashed:
    """A passphrase as it is kept: nobody can read it back out of this.

    Parameters
    ----------
    cost : with which it was hashed
    salt : random, its own
    digest : what scrypt made of both
    """

    cost: Cost
    salt: bytes
    digest: bytes


def hashed(passphrase: str, cost: Cost = COST) -> Hashed:
    """Return a passphrase as it is kept, with a fresh salt.

    Source: C. Percival, S. Josefsson, "The scrypt Password-Based Key Derivation Function",
    RFC 7914, 2016.
    """
    salt = secrets.token_bytes(16)
    return Hashed(cost, salt, _digest(passphrase, cost, salt))


def is_right(passphrase: str, kept: Hashed) -> bool:
    """Tell whether this is the passphrase that was kept; the time taken doesn't tell how near."""
    return hmac.compare_digest(_digest(passphrase, kept.cost, kept.salt), kept.digest)


def check_strength(passphrase: str) -> None:
    """Accept a passphrase that cannot be found by patient guessing.

    Raises
    ------
    GuardError : it is too short, too long or too plain; it is never quoted
    """
    text = _normal(passphrase)
    if len(text) < LEAST_LETTERS:
        raise _weak(f"has {len(text)} letters")
    if len(text) > MOST_LETTERS:
        raise GuardError("passphrase", None, "is too long", f"up to {MOST_LETTERS} letters")
    if any(unicodedata.category(letter) == "Cc" for letter in text):
        raise GuardError("passphrase", None, "has a letter that no phone can type")
    left = _without_what_is_known(text.casefold())
    if len(set(left)) < LEAST_DIFFERENT:
        raise _weak("is too easily guessed: mostly one letter, a row of keys or a well-known word")


def suggested() -> str:
    """Return a passphrase of plain words, by chance: one of 10 to the 12th."""
    return " ".join(secrets.choice(WORDS) for _ in range(SUGGESTED_WORDS))


def _normal(passphrase: str) -> str:
    """Return what is hashed: the same however a keyboard composes letters and doubles spaces."""
    return " ".join(unicodedata.normalize("NFKC", passphrase).split())


def _digest(passphrase: str, cost: Cost, salt: bytes) -> bytes:
    room = 128 * cost.r * (cost.n + cost.p + 2) + 2**20  # what OpenSSL asks for, and a little
    # A letter that is no letter (half a surrogate) is wrong, not a fault of the program.
    data = _normal(passphrase).encode("utf-8", "surrogatepass")
    return hashlib.scrypt(data, salt=salt, n=cost.n, r=cost.r, p=cost.p, maxmem=room, dklen=32)


def _without_what_is_known(text: str) -> str:
    """Return what a guesser would still have to find: rows of keys and known words taken out."""
    bare = "".join(letter for letter in text if letter.isalnum())
    for word in _TOO_KNOWN:
        bare = bare.replace(word, "")
    rows = [way for run in _RUNS for way in (run, run[::-1])]
    kept = ""
    while bare:
        size = next((n for n in range(len(bare), 3, -1) if any(bare[:n] in r for r in rows)), 0)
        kept, bare = (kept, bare[size:]) if size else (kept + bare[0], bare[1:])
    return kept


def _weak(problem: str) -> GuardError:
    allowed = f"{LEAST_LETTERS} letters or more, {LEAST_DIFFERENT} different ones among them"
    fix = f'Four or five words by chance are good and easy to type: "{suggested()}"'
    return GuardError("passphrase", None, problem, allowed, fix)
