"""Who is signed in: kept in a file, so that a restart in the season signs nobody out.

The file holds no session's secret, only its hash: who reads it cannot come in with it.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from sugarwright.web.guard.passphrases import ROLES, Opened, Role
from sugarwright.web.guard.private_files import Watched, private_folder, read_private

IDLE_S, LONGEST_S = 45 * 86400.0, 200 * 86400.0
"""A season passes without signing in again; a phone lost in it is out before the next."""

FILE = "sessions.json"
_MOST = 200
_FORM = 1
_NOTED_S = 86400.0  # how exactly the last use is kept: one small write a phone and day


@dataclass(frozen=True)
class Session:
    """One phone that is signed in.

    Parameters
    ----------
    role : what it may do
    mark : of the passphrase with which it came in
    begun_s, used_s : when it came in and, to a day, was last seen, UTC s
    """

    role: Role
    mark: str
    begun_s: float
    used_s: float


class Sessions:
    """The sessions of one sugarhouse folder; the file is the truth, read again when it changes.

    Parameters
    ----------
    house_folder : with sugarhouse.toml in it
    now : the clock, UTC s
    """

    def __init__(self, house_folder: str | Path, now: Callable[[], float] = time.time) -> None:
        self._file = Watched(private_folder(house_folder) / FILE, _parsed)
        self._now = now
        self._lock = threading.Lock()

    def begin(self, opened: Opened) -> str:
        """Sign someone in and return the session's secret: 256 bits by chance."""
        secret = secrets.token_urlsafe(32)
        now_s = self._now()
        with self._lock:
            live = {key: one for key, one in self._file.value().items() if self._is_live(one)}
            latest = sorted(live, key=lambda key: live[key].used_s)[-(_MOST - 1) :]
            new = Session(opened.role, opened.mark, now_s, now_s)
            self._write({**{key: live[key] for key in latest}, _hash(secret): new})
        return secret

    def find(self, secret: str) -> Session | None:
        """Return the live session of a secret, if there is one; its use is noted."""
        with self._lock:
            key = _hash(secret)
            kept = self._file.value()
            session = kept.get(key)
            if session is None or not self._is_live(session):
                return None
            if self._now() - session.used_s > _NOTED_S:
                session = replace(session, used_s=self._now())
                self._write({**kept, key: session})
            return session

    def end(self, secret: str) -> None:
        """Sign one phone out."""
        with self._lock:
            left = {key: one for key, one in self._file.value().items() if key != _hash(secret)}
            self._write(left)

    def end_all(self) -> int:
        """Sign every phone out; return how many were signed in."""
        with self._lock:
            live = sum(map(self._is_live, self._file.value().values()))
            self._write({})
            return live

    def is_damaged(self) -> bool:
        """Tell whether the file cannot be understood; everybody is signed out then."""
        data = read_private(self._file.path)
        return data is not None and _understood(data) is None

    def _is_live(self, session: Session) -> bool:
        now_s = self._now()
        return now_s - session.used_s < IDLE_S and now_s - session.begun_s < LONGEST_S

    def _write(self, kept: dict[str, Session]) -> None:
        document = {"form": _FORM, "sessions": {key: asdict(one) for key, one in kept.items()}}
        self._file.write(json.dumps(document).encode())


def _parsed(data: bytes | None) -> dict[str, Session]:
    """Read the file; a damaged one signs everybody out, which loses nothing but a minute."""
    return {} if data is None else _understood(data) or {}


def _understood(data: bytes) -> dict[str, Session] | None:
    try:
        document = json.loads(data)
        if document["form"] != _FORM:
            raise ValueError
        return {str(key): _session(one) for key, one in document["sessions"].items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _session(entry: dict[str, object]) -> Session:
    session = Session(**entry)  # type: ignore[arg-type]  # checked on the next lines
    numbers = (session.begun_s, session.used_s)
    if session.role not in ROLES or not all(isinstance(each, int | float) for each in numbers):
        raise ValueError
    return session


def _hash(secret: str) -> str:
    # No salt and no cost: a secret of 256 bits cannot be guessed.
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
