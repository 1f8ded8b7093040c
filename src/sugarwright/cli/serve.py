"""``sugarwright serve``: the pages."""

from __future__ import annotations

import contextlib
import signal
import socket
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any, Protocol

import typer

from sugarwright.answering.beginning import is_undescribed
from sugarwright.cli.folder import FolderArgument, house_in
from sugarwright.cli.moment import read_moment_s
from sugarwright.cli.output import note, say, wrapped
from sugarwright.errors import InputError

if TYPE_CHECKING:
    from sugarwright.web.guard.lan import Line

PORT, SECURE_PORT = 8470, 8471
LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"
_STOPPING_S = 3


class Closes(Protocol):
    """What runs beside the pages, and ends with them."""

    def close(self) -> None:
        """End it."""


def serve(
    folder: FolderArgument = ".",
    port: Annotated[
        int, typer.Option(metavar="N", min=1, max=65535, help="Where on this computer.")
    ] = PORT,
    browser: Annotated[
        bool, typer.Option("--open/--no-open", help="Open a browser on the first page.")
    ] = True,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="For phones on your own network too, behind a passphrase."),
    ] = False,
    secure_port: Annotated[
        int, typer.Option(metavar="N", min=1, max=65535, help="With --lan: where HTTPS is.")
    ] = SECURE_PORT,
    name: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            help="With --lan: another name of this computer at home, as kitchen.home.arpa. May be "
            "repeated.",
        ),
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIME",
            help='Let the clock of the pages begin at a local time: "2026-03-19 05:10". For an '
            "invented folder; left out: the time it is.",
        ),
    ] = None,
    broker: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help="MQTT broker of your sensors: mqtt://HOST:1883"),
    ] = None,
    login: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Its user and password, on two lines."),
    ] = None,
) -> None:
    """Where do I touch it? Serves the pages for phone and computer.

    A FOLDER without a sugarhouse.toml gets a first page that asks what `sugarwright new` asks.

    They are for this computer alone; with --lan for phones on your network too: over plain HTTP,
    and over HTTPS for those that trust this sugarhouse (docs/lan.md). Ctrl-C ends it; everything
    entered is on the disk by then.

    Examples:
      sugarwright serve my-sugarhouse
      sugarwright serve my-sugarhouse --lan
      sugarwright serve --port 8080 --no-open
    """
    if is_undescribed(folder) and not (lan or broker or at):
        _begin(folder, port, browser)
        return
    house = house_in(folder)
    begins_s = None if at is None else read_moment_s("--at", at, house.site.timezone, time.time())
    if lan:
        _see_that_locked(folder)
    taken = [socket_at(EVERYWHERE if lan else LOOPBACK, port)]
    if lan:
        taken.append(socket_at(EVERYWHERE, secure_port, "--secure-port"))

    from sugarwright.web.app import build
    from sugarwright.web.shed import Shed

    listener = None
    if broker is not None:
        from sugarwright.logbook.sensor_broker import Listener, broker_of

        listener = Listener(folder, broker_of(broker, login), note)
        listener.start()
    shed = Shed(folder, time.time if begins_s is None else clock_from(begins_s))
    guard, line = None, None
    if lan:
        from sugarwright.cli.serve_lan import guarded

        guard, line = guarded(folder, house.site.name, port, secure_port, name or ())
    _tell(house.site.name, port, browser)
    try:
        run(build(shed, guard), shed, taken, line)
    finally:
        if listener is not None:
            listener.stop()


def _begin(folder: str, port: int, browser: bool) -> None:
    """Ask in the browser what the new sugarhouse is like, then serve it."""
    taken = [socket_at(LOOPBACK, port)]
    from sugarwright.web.beginning import Beginning

    beginning = Beginning(folder)
    say(wrapped(f"There is no sugarhouse in {folder} yet: the page asks what it is like."))
    _tell("A new sugarhouse", port, browser)
    run(beginning, beginning, taken)


def _tell(name: str, port: int, browser: bool) -> None:
    """Say where the pages are, and open them."""
    address = f"http://localhost:{port}"
    say(wrapped(f"{name}: {address}"), wrapped("Ctrl-C ends it."))
    if browser:
        import webbrowser

        webbrowser.open(address)


def _see_that_locked(folder: str) -> None:
    """Ask for a passphrase unless there is one."""
    from sugarwright.cli.passphrase import ask_passphrase
    from sugarwright.web.guard.passphrases import Passphrases

    kept = Passphrases(folder)
    if "house" not in kept.marks():
        kept.set("house", ask_passphrase())


def clock_from(begins_s: float) -> Any:
    """Return a clock that shows an instant now, and goes on from there."""
    ahead_s = begins_s - time.time()
    return lambda: time.time() + ahead_s


def socket_at(host: str, port: int, option: str = "--port") -> socket.socket:
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
        fix = f"Is it served already? Then open it; else take another: {option} {port + 1}"
        reason = problem.strerror or str(problem)
        raise InputError(option, port, f"cannot be used: {reason}", fix=fix) from None
    return taken


def run(app: Any, shed: Closes, taken: list[socket.socket], line: Line | None = None) -> None:
    """Serve until Ctrl-C; then let pages that wait for news go, and end in good order.

    Parameters
    ----------
    app : the application
    shed : what runs beside, told first of the end
    taken : sockets that listen: for plain HTTP, and for HTTPS if there is a second
    line : the encrypted line of the second socket
    """
    import asyncio

    import uvicorn

    class Server(uvicorn.Server):
        """Leaves signals to those who run it: there may be two."""

        @contextlib.contextmanager
        def capture_signals(self) -> Iterator[None]:
            yield

    def server(**settings: Any) -> Server:
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            proxy_headers=False,  # whoever asks is counted, not whom they name
            timeout_graceful_shutdown=_STOPPING_S,
            **settings,
        )
        return Server(config)

    servers = [server()]
    if line is not None:
        context = line.context
        servers.append(server(lifespan="off", ssl_context_factory=lambda *_: context))

    def stop(sig: int, frame: Any) -> None:
        shed.close()  # first, so that nobody waits for an open page
        for each in servers:
            each.handle_exit(sig, frame)

    async def serve_all() -> None:
        for sig in (signal.SIGINT, signal.SIGTERM):
            signal.signal(sig, stop)
        keeping = None if line is None else asyncio.create_task(line.keep())
        pairs = zip(servers, taken, strict=True)
        await asyncio.gather(*(each.serve(sockets=[place]) for each, place in pairs))
        if keeping:
            keeping.cancel()

    try:
        asyncio.run(serve_all())
        note("Stopped.")
    finally:
        shed.close()
