"""A bus that cannot be opened is a finding. Names of interfaces: python-can."""

import can
import pytest

from putback.adapters.bus.opening import open_bus, read_option
from putback.core.finding import Finding


def test_a_bus_is_opened_by_name() -> None:
    bus = open_bus("virtual", "tests of opening")
    assert isinstance(bus, can.BusABC)
    bus.shutdown()


@pytest.mark.parametrize("interface", sorted(can.VALID_INTERFACES - {"virtual", "udp_multicast"}))
def test_no_interface_falls_over_where_its_hardware_or_driver_is_absent(interface: str) -> None:
    found = open_bus(interface, "no such channel")
    assert isinstance(found, Finding)
    assert interface in found.what
    assert found.mend


@pytest.mark.parametrize(("name", "mend"), [("socketcann", "did you mean 'socketcan'?"), ("", "the interfaces are")])
def test_an_unknown_interface_is_named_with_the_nearest(name: str, mend: str) -> None:
    found = open_bus(name, "can0")
    assert isinstance(found, Finding)
    assert found.where.field == "--interface"
    assert mend in found.mend


def test_a_group_that_is_none() -> None:
    found = open_bus("udp_multicast", "10.0.0.1:43113")
    assert isinstance(found, Finding)


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("port=43113", ("port", 43113)),
        ("fd=no", ("fd", False)),
        ("rate = 1.5", ("rate", 1.5)),
        ("serial=00AB", ("serial", "00AB")),
    ],
)
def test_an_option_of_an_interface(text: str, option: tuple[str, object]) -> None:
    assert read_option(text) == option


@pytest.mark.parametrize("text", ["", "port", "=1", "a b=1", "channel=can0", "interface=virtual"])
def test_what_is_no_option(text: str) -> None:
    assert isinstance(read_option(text), Finding)
