"""A few rounds of kill -9 on each store; `python -m benchmarks.append --kill 500` runs many.

Nothing that was acknowledged may be lost, nothing may stand twice, and every chain must fit.
"""

from pathlib import Path

from benchmarks.append.kill import Killed, kill_rounds
from benchmarks.append.server import Server

ROUNDS = 10


def sound(killed: Killed) -> bool:
    return (killed.lost, killed.doubled, killed.faults) == (0, 0, 0)


def test_a_killed_program_loses_nothing_in_the_file(tmp_path: Path) -> None:
    killed = kill_rounds(str(tmp_path / "killed.record"), rounds=ROUNDS, seed=11)
    assert sound(killed), killed
    assert killed.acknowledged > 0


def test_a_killed_program_and_a_killed_server_lose_nothing_in_the_database(server: Server) -> None:
    killed = kill_rounds(server.new_database("killed_in_tests"), rounds=ROUNDS, seed=12, server=server)
    assert sound(killed), killed
    assert killed.acknowledged > 0
    assert killed.server_kills == ROUNDS // 2
