"""``sugarwright serve``: the pages."""

from __future__ import annotations

import socket
import time
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sugarwright.cli.folder import FolderArgument, house_in
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.output import note, say, wrapped
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.web.shed import Shed

PORT = 8470
LOOPBACK = "127.0.0.1"
_STOPPING_S = 3


def serve(
    folder: FolderArgument = ".",
    port: Annotated[
        int, typer.Option(metavar="N", min=1, max=65535, help="Where on this computer.")
    ] = PORT,
    browser: Annotated[
        bool, typer.Option("--open/--no-open", help="Open a browser on the first page.")
    ] = True,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Let the clock of the pages begin at a local time: "2026-03-19 05:10". For an '
            "invented folder; left out: the time it is.",
        ),
    ] = None,
) -> None:
    """Where do I touch it? Serves the pages for phone and computer.

    They are for this computer alone. Ctrl-C ends it; everything entered is on the disk by then.

    Examples:
      sugarwright serve my-sugarhouse
      sugarwright serve --port 8080 --no-open
    """
    house = house_in(folder)
    begins_s = None if at is None else read_moment_s("--at", at, house.site.timezone, time.time())
    taken = socket_at(LOOPBACK, port)

    from sugarwright.web.app import build
    from sugarwright.web.shed import Shed

    shed = Shed(folder, time.time if begins_s is None else clock_from(begins_s))
    address = f"http://localhost:{port}"
    say(wrapped(f"{house.site.name}: {address}"), wrapped("Ctrl-C ends it."))
    if browser:
        import webbrowser

        webbrowser.open(address)
    run(build(shed), shed, taken)


def clock_from(begins_s: float) -> Any:
    """Return a clock that shows an instant now, and goes on from there."""
    ahead_s = begins_s - time.time()
    return lambda: time.time() + ahead_s


def socket_at(host: str, port: int) -> socket.socket:
    """Return a socket that listens.

    Raises
    ------
    InputError : it is taken, or not ours to take
    """
    taken = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((host, port))
        taken.listen(128)
    except OSError as problem:
        taken.close()
        fix = f"Is it served already? Then open it; else take another: --port {port + 1}"
        reason = problem.strerror or str(problem)
        raise InputError("--port", port, f"cannot be used: {reason}", fix=fix) from None
    return taken


def run(app: Any, shed: Shed, taken: socket.socket, **settings: Any) -> None:
    """Serve until Ctrl-C; then let pages that wait for news go, and end in good order."""
    import uvicorn

    class Server(uvicorn.Server):
        """Tells the shed first, so that nobody waits for an open page."""

        def handle_exit(self, sig: int, frame: Any) -> None:
            shed.close()
            super().handle_exit(sig, frame)

    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=_STOPPING_S,
        **settings,
    )
    try:
        Server(config).run(sockets=[taken])
    except KeyboardInterrupt:
        note("Stopped.")
    finally:
        shed.close()
