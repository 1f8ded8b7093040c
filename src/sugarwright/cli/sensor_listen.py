"""``sugarwright sensor listen``: readings from an MQTT broker."""

from __future__ import annotations

import threading
from typing import Annotated

import typer

from sugarwright.cli.output import note
from sugarwright.cli.sensor_add import FolderOption


def listen(
    broker: Annotated[str, typer.Option(metavar="ADDRESS", help="mqtt://HOST:1883, or mqtts://")],
    login: Annotated[
        str | None, typer.Option(metavar="FILE", help="User and password, on two lines.")
    ] = None,
    folder: FolderOption = ".",
) -> None:
    """What do sensors send to my MQTT broker? Takes it in, until Ctrl-C.

    Examples:
      sugarwright sensor listen --broker mqtt://192.168.1.5:1883
    """
    from sugarwright.logbook.sensor_broker import Listener, broker_of

    listener = Listener(folder, broker_of(broker, login), note)
    listener.start()
    try:
        threading.Event().wait()
    except KeyboardInterrupt:
        pass
    finally:
        listener.stop()
        note(f"{listener.counts['kept']} readings kept, {listener.counts['refused']} refused.")
