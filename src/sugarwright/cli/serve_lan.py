"""``sugarwright serve --lan``: the guard is set up, and the way for a phone is told."""

from __future__ import annotations

from collections.abc import Iterable

from sugarwright.cli.output import note, say, wrapped
from sugarwright.web.guard import HouseNetwork, Ports
from sugarwright.web.guard.addresses import own_addresses
from sugarwright.web.guard.lan import Line, network_for, unvouched
from sugarwright.web.guard.network import Network
from sugarwright.web.guard.qr import as_text


def guarded(
    folder: str, title: str, port: int, secure_port: int, names: Iterable[str]
) -> tuple[HouseNetwork, Line]:
    """Return the guard and the encrypted line; tell how a phone gets in.

    Raises
    ------
    InputError : a name could be somebody's outside; a file of keys is damaged
    """
    network = network_for(folder, title, Ports(secure_port, port), names)
    line = Line(folder, network.authority, network.names)
    _tell(network)
    return HouseNetwork(network), line


def _tell(network: Network) -> None:
    hosts = own_addresses()
    if not hosts:
        note("This computer has no private address just now: phones won't find it. Is it on?")
    for host in hosts[:1]:
        say(as_text(f"http://{host}:{network.ports.plain}/").rstrip("\n"))
    for host in [*hosts, *network.names]:
        plain, secure = network.ports.plain, network.ports.secure
        say(f"  http://{host}:{plain}/   or https://{host}:{secure}/")
    say(wrapped("A phone on your network opens one of these. HTTPS wants to be set up on it once:"))
    say(wrapped("the page /trust says how. Compare this fingerprint (SHA-256) there:"))
    digits = network.authority.fingerprint
    say(f"  {digits[:47]}", f"  {digits[48:]}")
    for name in unvouched(network):
        note(
            f"The authority of this sugarhouse, made earlier, cannot vouch for {name}. For that "
            "move lan/authority.key and lan/authority.crt away; each phone must then trust anew."
        )
    if network.sessions.is_damaged():
        note("lan/sessions.json is damaged: all phones must sign in again. Nothing else is lost.")
    say(wrapped("Only on a network that you trust; never forward these ports from outside."))
