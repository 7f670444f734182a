"""`putback serve --lan` where it cannot serve: each time where, what is wrong and the mend, and nothing is served."""

import re
import socket
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from putback.faces.cli.lan import hosts
from putback.faces.cli.main import cli


def serve(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(cli, ["serve", "--store", str(folder / "store.db"), *words], standalone_mode=False)


@pytest.mark.parametrize("words", [["--plain"], ["--address", "192.168.7.20"]])
def test_what_goes_with_lan_is_refused_without_it(tmp_path: Path, words: list[str]) -> None:
    told = serve(tmp_path, *words)
    assert told.exception is not None
    assert "--lan" in str(told.exception)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("address", ["workshop", "192.168.7", "192.168.7.20/24", "", "0.0.0.0", "::", "127.0.0.1"])
def test_an_address_that_is_none_of_a_local_network_is_refused(tmp_path: Path, address: str) -> None:
    told = serve(tmp_path, "--lan", "--address", address)
    assert told.return_value == 2
    assert f"--address {address}: " in told.output
    assert "; " in told.output


@pytest.mark.parametrize("address", ["128.66.0.1", "2a00::1", "224.0.0.1"])
def test_an_address_of_the_internet_is_refused(tmp_path: Path, address: str) -> None:
    assert serve(tmp_path, "--lan", "--address", address).return_value == 2


def test_an_address_of_another_machine_is_said(tmp_path: Path) -> None:
    told = serve(tmp_path, "--lan", "--address", "192.168.254.77", "--port", "8951")
    assert told.return_value == 2
    assert re.search(r"port 8951 of 192\.168\.254\.77: .*; choose another", told.output)


@pytest.mark.parametrize(("address", "above"), [("127.0.0.1", 0), ("127.0.0.2", 0), ("127.0.0.2", 1)])
def test_a_port_that_is_taken_is_said(tmp_path: Path, address: str, above: int) -> None:
    with socket.create_server((address, 0)) as taken:
        port = taken.getsockname()[1]
        told = serve(tmp_path, "--lan", "--address", "127.0.0.2", "--port", str(port - above))
    assert told.return_value == 2
    assert f"port {port} of {address}: " in told.output


@pytest.mark.parametrize("name", ["authority.pem", "paired.json"])
def test_a_damaged_file_is_said_and_nobody_is_served(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "store.db.phones"
    folder.mkdir()
    (folder / name).write_bytes(b"damaged")
    (folder / name).chmod(0o600)
    told = serve(tmp_path, "--lan", "--address", "127.0.0.2")
    assert told.return_value == 2
    assert str(folder / name) in told.output
    assert "code" not in told.output
    assert (folder / name).read_bytes() == b"damaged"


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "store.db.phones").write_bytes(b"")
    told = serve(tmp_path, "--lan", "--address", "127.0.0.2")
    assert told.return_value == 2
    assert "store.db.phones" in told.output


def test_usual_ports_are_left_out_by_browsers() -> None:
    assert hosts(["bench", "[fd00::7]"], 443) == ("bench:443", "[fd00::7]:443", "bench", "[fd00::7]")
    assert hosts(["bench"], 8070) == ("bench:8070",)
