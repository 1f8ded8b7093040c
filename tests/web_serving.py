"""Pages served in earnest, for tests that ask them with a browser."""

from __future__ import annotations

import socket
import ssl
import threading
import time
from typing import Any

import pytest
import uvicorn

from sugarwright.web.app import build
from sugarwright.web.shed import Shed

PATIENCE_S = 120.0  # a machine that compiles the simulator first


def standing_known(shed: Shed) -> None:
    """Wait until it is worked out where everything stands."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        standing = shed.standing()
        assert not standing.problem
        if standing.value is not None and not standing.behind:
            return
        time.sleep(0.05)
    pytest.fail("the twin did not answer")


class serving:  # noqa: N801  used as a function
    """Serve a shed on a free port while the block runs; encrypted if there is a context for it.

    Instead of a shed, an application may be handed over as it is.
    """

    def __init__(self, shed: Any, guard: Any = None, tls: ssl.SSLContext | None = None) -> None:
        self._socket = socket.create_server(("127.0.0.1", 0))
        self._scheme = "http" if tls is None else "https"
        config = uvicorn.Config(
            build(shed, guard) if isinstance(shed, Shed) else shed,
            log_level="warning",
            lifespan="off",
            ssl_context_factory=None if tls is None else lambda *_: tls,
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True
        )

    def __enter__(self) -> str:
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)
        return f"{self._scheme}://localhost:{self._socket.getsockname()[1]}"

    def __exit__(self, *_: object) -> None:
        self._server.should_exit = self._server.force_exit = True
        self._thread.join(5.0)
