"""One idea: a machine is asked which addresses it has in local networks; nothing is sent to find out."""

import socket
from ipaddress import IPv4Address, IPv6Address
from typing import Final, TypeAlias

Address: TypeAlias = IPv4Address | IPv6Address

_TOWARDS: Final = ("10.254.254.254", "172.31.254.254", "192.168.254.254", "198.51.100.1")
"""One address of each private network (RFC 1918) and one of none (RFC 5737), for the way there."""


def own_addresses() -> tuple[IPv4Address, ...]:
    """This machine's IPv4 addresses in local networks, that of the usual way out first."""
    found = [*(_from(one) for one in reversed(_TOWARDS)), *_named()]
    good = (one for one in found if one and one.is_private and not one.is_loopback and not one.is_unspecified)
    return tuple(dict.fromkeys(good))


def _from(towards: str) -> IPv4Address | None:
    """The address that a datagram would leave from; a datagram's socket is connected without sending."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect((towards, 9))
            return IPv4Address(way.getsockname()[0])
        except OSError:
            return None


def _named() -> list[IPv4Address]:
    try:
        return [IPv4Address(one[4][0]) for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except OSError:
        return []


def machine_name() -> str:
    """This machine's name without a domain; "" where it has none that may stand in an address."""
    name = socket.gethostname().partition(".")[0].lower()
    good = name.isascii() and name.replace("-", "a").isalnum() and not name.startswith("-") and not name.endswith("-")
    return name[:63] if good else ""


def listening(address: Address, port: int) -> socket.socket:
    """A socket that is bound.

    Raises:
        OSError: the address is not this machine's, or the port is taken.
    """
    family = socket.AF_INET if address.version == 4 else socket.AF_INET6
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        made.bind((str(address), port))
    except OSError:
        made.close()
        raise
    return made


def in_address(address: Address) -> str:
    """An address as it stands in a link: in brackets where it has colons (RFC 3986, 3.2.2).

    >>> in_address(IPv6Address("fd00::7"))
    '[fd00::7]'
    """
    return f"[{address}]" if address.version == 6 else str(address)
