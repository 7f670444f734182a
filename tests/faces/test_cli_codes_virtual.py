"""The command that runs the virtual car until Ctrl-C."""

import os
import signal
import subprocess
import sys

import can
import pytest
from click.testing import CliRunner

from putback.adapters.virtual_car.opening import is_taken
from putback.adapters.virtual_car.process import free_port
from putback.faces.cli.codes_virtual import CHANNEL, PORT, command

RUN = """
import sys
from putback.faces.cli.codes_virtual import command
command.main(sys.argv[1:], standalone_mode=False)
"""


def test_it_runs_until_it_is_interrupted_and_one_channel_has_one_car() -> None:
    port = free_port()
    call = [sys.executable, "-c", RUN, "--left-open", "shutter-plug", "--port", str(port), "--loss", "0.01"]
    with subprocess.Popen(call, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines = [process.stdout.readline() for _ in range(12)]
        assert "SIMULATED" in lines[0]
        assert (
            lines[-1]
            == f"read it:  putback codes read list.csv --interface udp_multicast --channel {CHANNEL}:{port}\n"
        )
        with can.Bus(interface="udp_multicast", channel=CHANNEL, port=port, hop_limit=0) as bus:
            assert is_taken(bus)
        second = CliRunner().invoke(command, ["--port", str(port)], standalone_mode=False)
        assert second.return_value == 2
        assert "a virtual car answers there already" in second.output
        os.kill(process.pid, signal.SIGINT)
        assert process.stdout.read() == "ended\n"
    assert process.returncode == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--left-open", "nothing", "--moved", "x"], "left_open: 'nothing' is no item of this car; moved: 'x'"),
        (["--channel", "10.0.0.1"], "no multicast address"),
        (["no-such.car.yaml"], "no-such.car.yaml: cannot be opened"),
        (["--before", "no-such.csv"], "no-such.csv: cannot be opened"),
    ],
)
def test_what_cannot_be_is_said(words: list[str], said: str) -> None:
    result = CliRunner().invoke(command, ["--port", str(free_port()), *words], standalone_mode=False)
    assert result.return_value == 2
    assert said in result.output


def test_its_usual_channel_is_that_of_the_interface() -> None:
    from can.interfaces.udp_multicast import UdpMulticastBus  # noqa: PLC0415 - the reference

    assert UdpMulticastBus.DEFAULT_GROUP_IPv4 == CHANNEL
    assert PORT == 43113  # python-can 4.6, documentation of udp_multicast
