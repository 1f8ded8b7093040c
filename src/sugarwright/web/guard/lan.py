"""What ``sugarwright serve --lan`` needs beside the pages: the guard, and an encrypted line."""

from __future__ import annotations

import asyncio
import ssl
from collections.abc import Iterable
from pathlib import Path

from sugarwright.web.guard.addresses import host_names, own_addresses
from sugarwright.web.guard.authority import Authority, kept_authority
from sugarwright.web.guard.network import Network, Ports
from sugarwright.web.guard.passphrases import Passphrases
from sugarwright.web.guard.server_certificate import Places, kept_certificate
from sugarwright.web.guard.sessions import Sessions
from sugarwright.web.guard.tries import Tries

_LOOKED_AFTER_S = 300.0


def network_for(
    house_folder: str | Path, title: str, ports: Ports, extra_names: Iterable[str] = ()
) -> Network:
    """Return what guards a sugarhouse on its network; the authority is made at first use.

    Parameters
    ----------
    house_folder : with sugarhouse.toml in it
    title : of the sugarhouse, as phones list its authority
    ports : where this computer listens
    extra_names : further host names of this computer at home

    Raises
    ------
    InputError : a name could be somebody's outside
    GuardError : a file of keys is damaged, or cannot be written
    """
    names = host_names(extra_names)
    authority = kept_authority(house_folder, title, names)
    own = Passphrases(house_folder), Sessions(house_folder), Tries()
    return Network(authority, names, ports, *own)


def unvouched(network: Network) -> tuple[str, ...]:
    """Return names of this computer for which its authority, made before them, cannot vouch."""
    known = network.authority.names
    return tuple(name for name in network.names if name not in known)


class Line:
    """The encrypted line: shows this computer's certificate, which follows its addresses.

    Parameters
    ----------
    house_folder : with sugarhouse.toml in it
    authority : that vouches
    names : host names of this computer

    Raises
    ------
    GuardError : the certificate's file cannot be written
    """

    def __init__(
        self, house_folder: str | Path, authority: Authority, names: tuple[str, ...]
    ) -> None:
        self._folder = house_folder
        self._authority = authority
        self._names = names
        self._shown = b""
        self.context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self.context.minimum_version = ssl.TLSVersion.TLSv1_2
        self.look_after()

    def look_after(self) -> bool:
        """Renew the certificate if it must be; tell whether another one is shown from now on."""
        places = Places(self._names, own_addresses())
        path = kept_certificate(self._folder, self._authority, places)
        data = path.read_bytes()
        if data == self._shown:
            return False
        self.context.load_cert_chain(path)  # of lines that are opened from now on
        self._shown = data
        return True

    async def keep(self) -> None:
        """Look after it until cancelled: addresses change, and a season has many days."""
        while True:
            await asyncio.sleep(_LOOKED_AFTER_S)
            await asyncio.to_thread(self.look_after)
