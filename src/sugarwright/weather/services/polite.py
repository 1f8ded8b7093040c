"""Asking over the network: kept answers, conditional requests, time-outs, waiting when told to.

What every service named here asks of its users: say who you are, keep answers as long as they
hold, ask whether they changed before taking them again (ETag, Last-Modified), and wait when told
(429, 503, Retry-After). See R. Fielding et al., HTTP Semantics and HTTP Caching, RFC 9110 and 9111,
2022. And no answer is asked for more often than hourly, whatever its headers say.

A wait that a service asked for outlives the program: it is written beside the kept answer.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sugarwright.errors import ServiceError
from sugarwright.weather.hours import utc_text
from sugarwright.weather.services.answers import (
    Kept,
    KeptAnswers,
    answer_of,
    fresh_until_s,
    parsed,
    reason_in,
    retry_after_s,
)
from sugarwright.weather.services.service import Answer
from sugarwright.weather.services.unreached import why_unreached

if TYPE_CHECKING:
    import httpx

HOURLY_S = 3600.0
_BACK_OFF_S = (1.0, 2.0, 4.0, 8.0)
_BUSY_S = 60.0  # rest for a service that did not say how long it wants
_LONGEST_WAIT_S = 6 * 3600.0
_NO_SIGNAL = "Without a signal, type what the radio says: tonight's low and tomorrow's high"


@dataclass(frozen=True)
class Manners:
    """How to ask.

    Parameters
    ----------
    user_agent : who asks
    timeout_s : longest silence in a conversation [s]
    total_s : longest time for one document, waits and repeats together [s]
    most_bytes : of an answer; ten years of hours are below two million
    """

    user_agent: str
    timeout_s: float = 10.0
    total_s: float = 40.0
    most_bytes: int = 16 * 1024 * 1024


class _Again(Exception):  # noqa: N818  a wish, not an error: try once more after a while
    """No answer this time; ``busy`` when the service itself said so."""

    def __init__(self, problem: str, wait_s: float | None = None, busy: bool = False) -> None:
        self.problem, self.wait_s, self.busy = problem, wait_s, busy


class PoliteAsker:
    """Gets JSON documents over HTTP; close it when done, or use it in a ``with``.

    Parameters
    ----------
    folder : where answers are kept
    manners : how to ask
    clock, sleep : of the machine; others in tests
    """

    def __init__(
        self,
        folder: Path,
        manners: Manners,
        clock: Callable[[], float] = time.time,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        import httpx  # a quarter of a second that only asking needs

        self._kept = KeptAnswers(folder)
        self._manners = manners
        self._clock = clock
        self._sleep = sleep
        self._client = httpx.Client(
            headers={
                "User-Agent": manners.user_agent,
                "Accept": "application/geo+json, application/json",
            },
            timeout=manners.timeout_s,
            follow_redirects=True,
            max_redirects=3,
        )

    def __enter__(self) -> PoliteAsker:
        return self

    def __exit__(self, *problem: object) -> None:
        self._client.close()

    def json(
        self,
        title: str,
        url: str,
        query: Mapping[str, str | int | float] | None = None,
        secret: Mapping[str, str] | None = None,
        keep_s: float = 0.0,
    ) -> Answer:
        """Return the document at an address; see :class:`.service.Asker`."""
        import httpx

        try:
            public = str(httpx.URL(url, params=dict(query)) if query else httpx.URL(url))
        except (httpx.InvalidURL, TypeError) as problem:
            raise ServiceError(title, url, f"is no address ({problem})") from None
        if not public.startswith(("https://", "http://")):
            raise ServiceError(title, public, "is no address of a web service", "https://...")
        kept = self._kept.get(public)
        now_s = self._clock()
        if kept.body and now_s < max(kept.fresh_until_s, kept.asked_s + max(HOURLY_S, keep_s)):
            return answer_of(title, kept)
        if now_s < kept.wait_until_s:
            when = utc_text(kept.wait_until_s)
            raise ServiceError(title, None, f"asked not to be asked again before {when}")
        full = str(httpx.URL(public).copy_merge_params(dict(secret))) if secret else public
        return answer_of(title, self._asked(title, public, full, kept))

    def _asked(self, title: str, public: str, full: str, kept: Kept) -> Kept:
        """Ask, again where that may help, until the time for it is over."""
        end_s = self._clock() + self._manners.total_s
        tries = 0
        while True:
            try:
                return self._once(title, public, full, kept, end_s)
            except _Again as again:
                most = len(_BACK_OFF_S) if again.busy else 1  # no signal is no signal
                wait_s = again.wait_s or _BACK_OFF_S[min(tries, len(_BACK_OFF_S) - 1)]
                if tries < most and self._clock() + wait_s < end_s:
                    self._sleep(wait_s)
                    tries += 1
                    continue
                if again.busy:
                    rest_s = min(again.wait_s or _BUSY_S, _LONGEST_WAIT_S)
                    self._kept.put(public, kept.waiting(self._clock() + rest_s))
                raise ServiceError(title, None, again.problem, fix=_NO_SIGNAL) from None

    def _once(self, title: str, public: str, full: str, kept: Kept, end_s: float) -> Kept:
        import httpx

        headers = {"If-None-Match": kept.etag, "If-Modified-Since": kept.last_modified}
        wanted = {name: text for name, text in headers.items() if text and kept.body}
        try:
            with self._client.stream("GET", full, headers=wanted) as response:
                body = self._body(title, response, end_s)
        except httpx.TimeoutException:
            raise _Again(f"did not answer within {self._manners.timeout_s:g} s") from None
        except httpx.TooManyRedirects:
            raise ServiceError(title, None, "sends from one address to the next") from None
        except httpx.HTTPError as problem:
            why = why_unreached(problem) or str(problem).replace(full, public)
            raise _Again(f"was not reached: {why or type(problem).__name__}") from None
        now_s = self._clock()
        if response.status_code == httpx.codes.NOT_MODIFIED and kept.body:
            renewed = kept.renewed(now_s, fresh_until_s(response.headers, now_s))
        else:
            self._check_status(title, response, body, now_s)
            parsed(title, body)
            renewed = Kept(
                body.decode("utf-8-sig", errors="replace"),
                response.headers.get("ETag", ""),
                response.headers.get("Last-Modified", ""),
                fresh_until_s(response.headers, now_s),
                now_s,
                now_s,
            )
        self._kept.put(public, renewed)
        return renewed

    def _body(self, title: str, response: httpx.Response, end_s: float) -> bytes:
        """Return the answer's body, as far as size and time allow."""
        chunks: list[bytes] = []
        length = 0
        for chunk in response.iter_bytes():
            chunks.append(chunk)
            length += len(chunk)
            if length > self._manners.most_bytes:
                most = self._manners.most_bytes / 2**20
                raise ServiceError(title, None, f"sent more than {most:.3g} MB: no forecast")
            if self._clock() > end_s:
                raise _Again(f"took longer than {self._manners.total_s:g} s to answer")
        return b"".join(chunks)

    def _check_status(self, title: str, response: Any, body: bytes, now_s: float) -> None:
        """Raise when the answer is none: at once, or to be tried again."""
        code = response.status_code
        if code in (200, 203):  # 203: MET Norway's mark of a version that will be given up
            return
        why = f"answered {code} {response.reason_phrase}".rstrip()
        reason = reason_in(body)
        why += f": {reason}" if reason else ""
        if code == 429 or code >= 500:
            raise _Again(why, retry_after_s(response.headers, now_s), busy=True)
        raise ServiceError(title, None, why, fix=_FIXES.get(code, ""))


_FIXES = {
    403: "It wants to know whom to write to: set --contact; or the key is wrong",
    404: "It may not cover the place of the house",
}
