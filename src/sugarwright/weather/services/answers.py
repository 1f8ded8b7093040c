"""Answers of services as they are kept on disk, and what their headers mean."""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Any

from sugarwright.errors import ServiceError, WeatherFileError
from sugarwright.weather.keeping import replace_whole
from sugarwright.weather.services.service import Answer

_LONGEST_FRESH_S = 30 * 86400.0
_MOST_KEPT = 60  # files; some ten addresses a day are asked


@dataclass(frozen=True)
class Kept:
    """An answer, and when it may be asked for again (instants in UTC s).

    Parameters
    ----------
    body : text of the answer; empty when there was none yet
    etag, last_modified : the service's marks of this version
    fresh_until_s : until when it holds, by its headers
    fetched_s : when the body came
    asked_s : when it was last asked about
    wait_until_s : the service does not want to be asked before
    """

    body: str = ""
    etag: str = ""
    last_modified: str = ""
    fresh_until_s: float = 0.0
    fetched_s: float = 0.0
    asked_s: float = 0.0
    wait_until_s: float = 0.0

    def renewed(self, now_s: float, fresh_until_s: float) -> Kept:
        """Return the answer, said to be still the same now."""
        return replace(self, fresh_until_s=fresh_until_s, asked_s=now_s, wait_until_s=0.0)

    def waiting(self, until_s: float) -> Kept:
        """Return the answer, not to be asked about before an instant."""
        return replace(self, wait_until_s=until_s)


class KeptAnswers:
    """Answers in a folder of their own, one file an address; the oldest go when there are many."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, url: str) -> Kept:
        """Return what is kept of an address; nothing when there is none, or it is damaged."""
        try:
            document = json.loads(self._path(url).read_bytes())
            kept = Kept(**document["answer"])
            numbers = (kept.fresh_until_s, kept.fetched_s, kept.asked_s, kept.wait_until_s)
            if document["url"] == url and all(isinstance(each, int | float) for each in numbers):
                return kept
        except (OSError, ValueError, TypeError, LookupError):
            pass
        return Kept()

    def put(self, url: str, kept: Kept) -> None:
        """Keep an answer; a disk that is full is no reason to have no weather."""
        text = json.dumps({"url": url, "answer": dataclasses.asdict(kept)})
        with contextlib.suppress(WeatherFileError, OSError):
            replace_whole(self._path(url), text)
            files = sorted(self._folder.glob("*.json"), key=lambda path: path.stat().st_mtime)
            for path in files[:-_MOST_KEPT]:
                path.unlink(missing_ok=True)

    def _path(self, url: str) -> Path:
        return self._folder / f"{hashlib.sha256(url.encode()).hexdigest()[:24]}.json"


def answer_of(title: str, kept: Kept) -> Answer:
    """Return the document in a kept answer."""
    return Answer(parsed(title, kept.body), int(kept.fetched_s))


def parsed(title: str, body: str | bytes) -> Any:
    """Return the JSON document in a body.

    Raises
    ------
    ServiceError : if it is none: a web page, say, or cut off
    """
    text = body.decode("utf-8-sig", errors="replace") if isinstance(body, bytes) else body
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        start = text.lstrip()[:15].lower()
        if start.startswith("<"):
            problem = "sent a web page instead of data"
            fix = "Is this a network that wants you to sign in first?"
            raise ServiceError(title, None, problem, fix=fix) from None
        problem = "sent nothing" if not start else "sent data that is cut off or damaged"
        raise ServiceError(title, None, problem, fix="Ask again later") from None
    if not isinstance(document, dict):
        raise ServiceError(title, None, "sent no JSON object", fix="Ask again later")
    if document.get("error") is True:  # as Open-Meteo refuses
        raise ServiceError(title, None, f"refuses: {document.get('reason', 'no reason given')}")
    return document


def reason_in(body: bytes) -> str:
    """Return the reason that a refusal states: RFC 9457 details, or a "reason"."""
    with contextlib.suppress(ValueError, RecursionError):
        document = json.loads(body)
        if isinstance(document, dict):
            found = document.get("reason") or document.get("detail") or document.get("title")
            return " ".join(str(found or "").split())[:200]
    return ""


def fresh_until_s(headers: Mapping[str, str], now_s: float) -> float:
    """Return until when an answer holds by its headers [UTC s] (RFC 9111, section 4.2)."""
    control = headers.get("Cache-Control", "")
    age = re.search(r"\bmax-age\s*=\s*\"?(\d+)", control)
    if age:
        already_s = re.fullmatch(r"\s*(\d+)\s*", headers.get("Age", "0"))
        left_s = int(age[1][:9]) - (int(already_s[1][:9]) if already_s else 0)
    else:
        expires_s = _http_date_s(headers.get("Expires", ""))
        left_s = 0 if expires_s is None else round(expires_s - now_s)
    return now_s + min(max(left_s, 0), _LONGEST_FRESH_S)


def retry_after_s(headers: Mapping[str, str], now_s: float) -> float | None:
    """Return how long a service asks to wait [s]; None if it does not say."""
    text = headers.get("Retry-After", "").strip()
    if text.isdigit():
        return max(1.0, float(text[:9]))
    moment_s = _http_date_s(text)
    return None if moment_s is None else max(1.0, moment_s - now_s)


def _http_date_s(text: str) -> float | None:
    try:
        return parsedate_to_datetime(text).timestamp()
    except (ValueError, TypeError, OverflowError):
        return None
