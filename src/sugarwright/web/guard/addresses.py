"""Names and addresses by which a phone at home reaches this computer; nothing is asked outside."""

from __future__ import annotations

import ipaddress
import re
import socket
import struct
import sys
from collections.abc import Iterable

from sugarwright.errors import InputError

IPAddress = ipaddress.IPv4Address | ipaddress.IPv6Address
IPNetwork = ipaddress.IPv4Network | ipaddress.IPv6Network

PRIVATE: tuple[IPNetwork, ...] = tuple(
    ipaddress.ip_network(each)
    for each in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "127.0.0.0/8",
        "fd00::/8",
        "fe80::/10",
        "::1/128",
    )
)
"""Addresses that belong to nobody outside the house (RFC 1918, 3927, 4193, 4291)."""

LOOPBACK = "localhost"

HOME_ENDINGS = ("local", "lan", "internal", "home.arpa", "test")
"""Endings that nobody can own in the public system of names: RFC 6762, 8375, 2606, and by custom
(``lan``) or reservation (``internal``, ICANN 2024)."""

_NAME = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(\.(?!-)[a-z0-9-]{1,63}(?<!-))*")
_TOWARDS = ("192.168.255.254", "10.255.255.254", "172.31.255.254")
_MOST_INTERFACES = 64


def is_private(address: str) -> bool:
    """Tell whether a numeric address is one of a house's own network, or this computer's."""
    try:
        ip = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    if isinstance(ip, ipaddress.IPv6Address) and ip.ipv4_mapped:
        ip = ip.ipv4_mapped
    return any(ip in network for network in PRIVATE)


def host_names(extra: Iterable[str] = (), own: str | None = None) -> tuple[str, ...]:
    """Return this computer's names at home, which end as no public name does.

    The bare name ("kitchen") is left out: it would stand for all names below it, and many plain
    words are public endings by now.

    Parameters
    ----------
    extra : further names that the maker's network gives it
    own : its bare name; asked of the system if not given

    Raises
    ------
    InputError : a further name could belong to somebody outside
    """
    bare = bare_name() if own is None else own
    names = [f"{bare}.local"] if bare else []
    return tuple(dict.fromkeys([*names, *map(_home_name, extra)]))


def bare_name() -> str:
    """Return what this computer calls itself, without an ending; empty if it is no host name."""
    name = socket.gethostname().partition(".")[0].lower()
    return name if _NAME.fullmatch(name) and name != LOOPBACK else ""


def own_addresses() -> tuple[str, ...]:
    """Return this computer's private IPv4 addresses, the likeliest for a phone first."""
    found = dict.fromkeys([*_by_route(), *_by_interface(), *_by_own_name()])
    usable = [each for each in found if is_private(each) and not each.startswith("127.")]
    # An address given to itself for want of a router (169.254) is seldom the one meant.
    return tuple(sorted(usable, key=lambda each: each.startswith("169.254.")))


def _home_name(name: str) -> str:
    text = name.strip().rstrip(".").lower()
    is_home = any(text.endswith(f".{ending}") for ending in HOME_ENDINGS)
    if not _NAME.fullmatch(text) or not is_home or len(text) > 253:
        endings = ", ".join(f".{ending}" for ending in HOME_ENDINGS)
        problem = "could be a name that belongs to somebody outside your house"
        raise InputError("--name", name, problem, f"a name that ends in one of {endings}")
    return text


def _by_route() -> list[str]:
    """Return the addresses from which this computer would send to a private network."""
    found = []
    for target in _TOWARDS:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect(
                    (target, 9)
                )  # of a datagram socket: looks up the route, sends nothing
                found.append(str(probe.getsockname()[0]))
            except OSError:  # no way there
                continue
    return found


def _by_interface() -> list[str]:
    """Return the address of each interface, where the system can be asked for them (Linux)."""
    if sys.platform != "linux":
        return []
    import array
    import fcntl

    get_all, size = 0x8912, 40  # SIOCGIFCONF, and one struct ifreq of a 64-bit system
    if struct.calcsize("P") == 4:
        size = 32
    room = array.array("B", bytes(size * _MOST_INTERFACES))
    request = struct.pack("iP", len(room), room.buffer_info()[0])
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            used = struct.unpack("iP", fcntl.ioctl(probe.fileno(), get_all, request))[0]
        except OSError:
            return []
    starts = range(0, used, size)
    return [socket.inet_ntoa(room[at + 20 : at + 24].tobytes()) for at in starts]


def _by_own_name() -> list[str]:
    """Return the addresses of this computer's name, where the system itself knows them.

    Elsewhere (Linux) the question could leave the computer.
    """
    if sys.platform not in ("win32", "darwin"):
        return []
    try:
        answers = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        return []
    return [str(answer[4][0]) for answer in answers]
