"""Which addresses a machine has, judged by its own `ip`; and sockets that are had or refused."""

import json
import shutil
import socket
import subprocess
from ipaddress import ip_address

import pytest

from putback.adapters.network import in_address, listening, machine_name, own_addresses


@pytest.mark.skipif(shutil.which("ip") is None, reason="`ip` is not here")
def test_every_address_is_one_of_this_machine() -> None:
    told = json.loads(subprocess.run(["ip", "-j", "-4", "addr"], check=True, capture_output=True).stdout)
    there = {one["local"] for link in told for one in link.get("addr_info", ())}
    assert {str(one) for one in own_addresses()} <= there


def test_no_address_is_the_loop_or_of_the_internet_or_there_twice() -> None:
    found = own_addresses()
    assert not [one for one in found if one.is_loopback or one.is_global or one.is_unspecified]
    assert len(set(found)) == len(found)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("bench", "bench"),
        ("Bench.workshop.example", "bench"),
        ("left-bay", "left-bay"),
        ("left_bay", ""),
        ("-bay", ""),
        ("bäy", ""),
        ("", ""),
        ("a" * 80, "a" * 63),
    ],
)
def test_a_machines_name_stands_in_an_address_or_is_left_out(
    name: str, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket, "gethostname", lambda: name)
    assert machine_name() == told


def test_a_machine_that_reaches_nothing_has_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    assert own_addresses() == ()


def test_a_port_is_had_once_and_an_address_of_another_machine_never() -> None:
    with listening(ip_address("127.0.0.1"), 0) as first:
        first.listen()
        port = first.getsockname()[1]
        with pytest.raises(OSError, match="in use"):
            listening(ip_address("127.0.0.1"), port)
        listening(ip_address("127.0.0.2"), port).close()
    with pytest.raises(OSError, match="assign"):
        listening(ip_address("203.0.113.7"), 0)


def test_an_address_with_colons_stands_in_brackets() -> None:
    assert in_address(ip_address("fd00::7")) == "[fd00::7]"
    assert in_address(ip_address("192.168.7.20")) == "192.168.7.20"
