"""One process beside the server for what takes seconds: it stays warm, and no request waits for it.

It is started anew (never forked, since the server has threads) and holds the compiled simulator.
Two questions may run in it at once, so that a plan in the making does not hold up the tanks.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
import traceback
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from sugarwright.errors import SugarwrightError

AT_ONCE = 2
NICER = 5  # pages come first
_PATIENCE_S = 2.0


class WorkError(Exception):
    """What was asked of the worker could not be answered; the message is for people."""


class Worker:
    """The process; started with the first question, and again should it die."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._waiting: dict[int, Future[Any]] = {}
        self._number = 0
        self._closed = False

    def ask(self, question: Callable[..., Any], *words: Any) -> Future[Any]:
        """Let a function of a module run in the worker; words and answer must be plain values."""
        future: Future[Any] = Future()
        with self._lock:
            if self._closed:
                future.set_exception(WorkError("The server is being stopped."))
                return future
            pipe = self._running()
            self._number += 1
            self._waiting[self._number] = future
            try:
                pipe.send((self._number, question, words))
            except OSError:
                self._lose(pipe)
        return future

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closed = True
            pipe, process = self._pipe, self._process
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.send(None)
        if process is not None:
            process.join(_PATIENCE_S)
            if process.is_alive():
                process.kill()

    def _running(self) -> Connection:
        if self._pipe is not None:
            return self._pipe
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=work, args=(theirs,), name="worker", daemon=True)
        process.start()
        theirs.close()
        self._process, self._pipe = process, ours
        threading.Thread(target=self._listen, args=(ours,), name="answers", daemon=True).start()
        return ours

    def _listen(self, pipe: Connection) -> None:
        while True:
            try:
                number, answer, problem = pipe.recv()
            except (EOFError, OSError):
                with self._lock:
                    self._lose(pipe)
                return
            with self._lock:
                future = self._waiting.pop(number, None)
            if future is None:
                continue
            if problem is None:
                future.set_result(answer)
            else:
                future.set_exception(WorkError(problem))

    def _lose(self, pipe: Connection) -> None:
        """Give up on a process that has gone; the next question starts another."""
        if pipe is not self._pipe:
            return
        self._pipe = self._process = None
        waiting, self._waiting = self._waiting, {}
        for future in waiting.values():
            future.set_exception(WorkError("The part that reckons has stopped. Try again."))


def work(pipe: Connection) -> None:
    """Answer questions until the server is gone; what the process runs."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server is told, and tells us
    if hasattr(os, "nice"):
        os.nice(NICER)
    sending = threading.Lock()

    def answer(number: int, question: Callable[..., Any], words: tuple[Any, ...]) -> None:
        found: Any = None
        problem: str | None = None
        try:
            found = question(*words)
        except SugarwrightError as error:
            problem = str(error)
        except BaseException:
            traceback.print_exc()  # a fault of the program: it belongs into its log
            problem = "A fault of the program itself; the window in which it runs says more."
        with sending, contextlib.suppress(OSError):
            pipe.send((number, found, problem))

    pool = ThreadPoolExecutor(AT_ONCE, thread_name_prefix="question")
    while True:
        try:
            message = pipe.recv()
        except (EOFError, OSError):
            message = None
        if message is None:
            os._exit(0)  # also in the middle of a plan: nothing half made is ever kept
        pool.submit(answer, *message)
