"""`putback serve --lan`: the same pages for phones in the same network, each paired by a one-time code."""

import secrets
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import datetime
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from socket import socket
from typing import TYPE_CHECKING, TypeAlias

import click

from putback.adapters.network import in_address, listening, machine_name, own_addresses
from putback.bay import Bay
from putback.core.finding import Finding
from putback.faces.cli.show import DONE, UNREADABLE

if TYPE_CHECKING:
    import uvicorn
    from starlette.applications import Starlette

    from putback.adapters.certificates import Served
    from putback.bay.car_reader import CarReader
    from putback.bay.pairing import Pairing
    from putback.faces.web.lan import Lan

Address: TypeAlias = IPv4Address | IPv6Address

HERE = ip_address("127.0.0.1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What was asked for. `addresses`: empty: those of this machine in local networks; `reader` speaks to the car."""

    folder: Path
    port: int
    addresses: tuple[str, ...]
    plain: bool
    reader: "CarReader | None" = None

    @property
    def door_port(self) -> int:
        """The port beside that of the pages."""
        return self.port + 1 if self.port < 65535 else self.port - 1


class Unable(Exception):
    """Why phones cannot be served, with the mend."""


def serve_lan(bay: Bay, wish: Wish) -> int:
    """Serve phones and this machine until Ctrl-C."""
    try:
        addresses = _addresses(wish)
        certificate = None if wish.plain else _certificate(wish, addresses, bay.clock())
        pairing = _pairing(wish, bay.clock)
        with ExitStack() as stack:
            _run(_servers(bay, wish, addresses, pairing, certificate, stack))
    except Unable as why:
        click.echo(str(why), err=True)
        return UNREADABLE
    except OSError as failure:
        click.echo(f"{wish.folder}: {failure.strerror or failure}; mend that and start again", err=True)
        return UNREADABLE
    return DONE


def _addresses(wish: Wish) -> tuple[Address, ...]:
    given = []
    for text in wish.addresses:
        try:
            given.append(ip_address(text))
        except ValueError:
            raise Unable(f"--address {text}: is no address; write it such as 192.168.0.7") from None
    for one in given:
        if one == HERE or one.is_unspecified or one.is_global or one.is_multicast:
            raise Unable(f"--address {one}: phones in a local network do not reach it; name this machine's own there")
    if found := tuple(dict.fromkeys(given)) or own_addresses():
        return found
    raise Unable("this machine has no address in a local network; join one, or name it with --address")


def _certificate(wish: Wish, addresses: Sequence[Address], now: datetime) -> "Served":
    from putback.adapters.certificates import served  # noqa: PLC0415 - loaded when it is used

    made = served(wish.folder, host=machine_name(), addresses=addresses, now=now)
    if isinstance(made, Finding):
        raise Unable(str(made))
    return made


def _pairing(wish: Wish, clock: Callable[[], datetime]) -> "Pairing":
    from putback.bay.pairing import Pairing, paired  # noqa: PLC0415 - the same

    wish.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    place = wish.folder / "paired.json"
    devices = paired(place)
    if isinstance(devices, Finding):
        raise Unable(str(devices))
    return Pairing(place=place, devices=devices, clock=clock, steady=time.monotonic, random=secrets.token_bytes)


def _servers(
    bay: Bay,
    wish: Wish,
    addresses: Sequence[Address],
    pairing: "Pairing",
    certificate: "Served | None",
    stack: ExitStack,
) -> list[tuple["uvicorn.Server", list[socket]]]:
    """Every server with its sockets, that of this machine first; and all is said that a technician must know."""
    from putback.faces.web import make_app, phones  # noqa: PLC0415 - the same
    from putback.faces.web.lan import ROUTES, Lan, gate, make_door  # noqa: PLC0415 - the same

    lan = Lan(
        pairing=pairing,
        port=wish.port,
        door_port=None if certificate is None else wish.door_port,
        address=_begin(wish, addresses[0]),
        authority=certificate.authority if certificate else None,
        fingerprint=certificate.fingerprint if certificate else "",
    )
    outside = [one for one in addresses if one != HERE]
    here = make_app(bay, hosts=hosts([str(HERE), "localhost"], wish.port), more=phones.ROUTES, reader=wish.reader)
    around = make_app(bay, hosts=hosts(_names(outside), wish.port), gate=gate(lan), more=ROUTES, reader=wish.reader)
    here.state.lan = around.state.lan = lan
    here.state.phones = phones.PHONES
    here.state.address = _pages(wish, addresses[0])
    made = [
        (_server(here), _bound([HERE], wish.port, stack)),
        (_server(around, certificate), _bound(outside, wish.port, stack)),
    ]
    if certificate:
        door = make_door(lan, hosts=hosts(_names(outside), wish.door_port))
        made.append((_server(door), _bound(outside, wish.door_port, stack)))
    _say(lan, wish, certificate, others=[_begin(wish, one) for one in addresses[1:]])
    return made


def _begin(wish: Wish, address: Address) -> str:
    """What a phone begins with at an address."""
    return f"http://{in_address(address)}:{wish.port if wish.plain else wish.door_port}/"


def _pages(wish: Wish, address: Address) -> str:
    """Where the pages are at an address."""
    return f"http{'' if wish.plain else 's'}://{in_address(address)}:{wish.port}"


def _names(addresses: Sequence[Address]) -> list[str]:
    name = machine_name()
    return [in_address(one) for one in addresses] + ([name, f"{name}.local"] if name not in ("", "localhost") else [])


def hosts(names: Sequence[str], port: int) -> tuple[str, ...]:
    """The `Host` headers of these names; browsers leave the usual port out."""
    usual = tuple(names) if port in (80, 443) else ()
    return (*(f"{one}:{port}" for one in names), *usual)


def _server(app: "Starlette", certificate: "Served | None" = None) -> "uvicorn.Server":
    import uvicorn  # noqa: PLC0415 - the same

    return uvicorn.Server(
        uvicorn.Config(
            app,
            log_level="warning",
            server_header=False,
            proxy_headers=False,
            ws="none",
            lifespan="off",
            ssl_certfile=certificate.file if certificate else None,
            timeout_graceful_shutdown=5,
        )
    )


def _bound(addresses: Sequence[Address], port: int, stack: ExitStack) -> list[socket]:
    """Sockets of these addresses.

    Raises:
        Unable: one cannot be had.
    """
    try:
        return [stack.enter_context(listening(one, port)) for one in addresses]
    except OSError as failure:
        named = ", ".join(str(one) for one in addresses)
        why = failure.strerror or str(failure)
        raise Unable(f"port {port} of {named}: {why}; choose another with --port, or another --address") from failure


def _run(servers: Sequence[tuple["uvicorn.Server", list[socket]]]) -> None:
    """Run them all until the first, which hears Ctrl-C, ends."""
    (first, own), *others = servers
    threads = [threading.Thread(target=one.run, kwargs={"sockets": sockets}, daemon=True) for one, sockets in others]
    for thread in threads:
        thread.start()
    with suppress(KeyboardInterrupt):
        first.run(sockets=own)
    for one, _ in others:
        one.should_exit = True
    for thread in threads:
        thread.join(10)


def _say(lan: "Lan", wish: Wish, certificate: "Served | None", *, others: Sequence[str]) -> None:
    """Where the pages are, the code, and what a phone must trust."""
    from putback.bay.pairing import Code  # noqa: PLC0415 - the same
    from putback.faces.web import steps  # noqa: PLC0415 - the same
    from putback.faces.web.qr import lines  # noqa: PLC0415 - the same

    click.echo(f"this machine: open http://{HERE}:{wish.port}/ (Ctrl-C ends)")
    click.echo(f"phones: paired, listed and un-paired at http://{HERE}:{wish.port}/phones on this machine only")
    click.echo(f"\na new phone, in the same network: scan this, or type {lan.address}")
    for other in others:
        click.echo(f"the same at {other}")
    if sys.stdout.isatty():
        click.echo(lines(lan.address))
    code = lan.pairing.new_code()
    if isinstance(code, Code):
        click.echo(f"its one-time code: {code.spaced}   (one phone, until {code.ends_at:%H:%M})")
    if certificate is None:
        for words in steps.PLAIN:
            click.echo(f"caution: {words}")
    else:
        _say_trust(certificate)


def _say_trust(certificate: "Served") -> None:
    from putback.faces.web import steps  # noqa: PLC0415 - the same

    for one in certificate.left_out:
        click.echo(f"note: the certificate does not cover {one}: the authority was made before and is not for it")
    until, authority_until = certificate.ends_at, certificate.authority_ends_at
    click.echo(f"certificate: until {until:%Y-%m-%d}; its authority: until {authority_until:%Y-%m-%d}")
    click.echo(f"the authority's SHA-256 fingerprint, which each phone must show too:\n{certificate.fingerprint}")
    for system in steps.TRUST:
        click.echo(f"\n{system.system}:")
        for n, words in enumerate(system.steps, 1):
            click.echo(f"  {n}. {words}")
    click.echo(f"\n{steps.DIFFER}")
