"""Rounds of chaos between real browsers and a real server: nothing that was confirmed is lost, nothing is doubled.

A few here; `make chaos` runs 300. PUTBACK_CHAOS_ROUNDS says how many, PUTBACK_CHAOS_SEED which, PUTBACK_CHAOS_FROM
with which to begin: the same seed and number make the same script of moves.
"""

import os
import shutil
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, closing
from dataclasses import replace

import pytest
from playwright.sync_api import sync_playwright

from benchmarks.append.server import Server, running
from chaos.moves import MOVES
from chaos.report import table
from chaos.round import Round
from chaos.yard import THEMES, Result, Yard
from faces.web.browser.conftest import LOUD
from putback.adapters.stores import open_store

ROUNDS = int(os.environ.get("PUTBACK_CHAOS_ROUNDS", len(THEMES)))
SEED = int(os.environ.get("PUTBACK_CHAOS_SEED", "1"))
MANY = len(THEMES) < ROUNDS
FROM = int(os.environ.get("PUTBACK_CHAOS_FROM", "0"))


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    if shutil.which("chromium") is None:
        if os.environ.get("CI") == "true":
            pytest.fail(LOUD)
        pytest.skip(LOUD)
    with sync_playwright() as playwright, Yard(playwright, tmp_path_factory.mktemp("chaos")) as yard:
        yield yard


@pytest.fixture(scope="module")
def databases() -> Iterator[Server | None]:
    """A server of PostgreSQL for one round in ten of many; its own tests say loudly where there is none."""
    with ExitStack() as stack:
        try:
            yield stack.enter_context(running()) if MANY else None
        except LookupError:
            yield None


def test_the_themes_have_every_kind_of_move() -> None:
    assert {move for theme in THEMES for move in theme} == set(MOVES)


def say(capsys: pytest.CaptureFixture[str], text: str) -> None:
    """Many rounds are watched as they go; of a few, only what is wrong is of interest."""
    if MANY:
        with capsys.disabled():
            print(text, flush=True)


def test_nothing_is_lost_and_nothing_doubled(
    yard: Yard, databases: Server | None, capsys: pytest.CaptureFixture[str]
) -> None:
    results: list[Result] = []
    try:
        for number in range(FROM, FROM + ROUNDS):
            store = databases.new_database(f"chaos_{number}") if databases and number % 10 == 9 else None
            results.append(yard.round(number, seed=SEED, store=store))
            say(capsys, results[-1].line())
    finally:
        say(capsys, table(results))
    moves: Counter[str] = sum((one.moves for one in results), Counter())
    assert [one.line() for one in results if not one.sound] == []
    assert all(one.taps for one in results)
    assert len(THEMES) > ROUNDS or set(moves) == set(MOVES)


def test_what_is_spoilt_on_purpose_is_counted(yard: Yard) -> None:
    """One event is taken out of the store behind its back, and another one is put in again under a new id."""

    def spoil(round: Round) -> None:
        round.server.kill()
        lost, twice = [event for event in round.record() if event.kind == "operation done"][:2]
        with open_store(round.server.store, create=True) as store:
            store.append([replace(twice, id="again")], received_at=twice.at)
        with closing(sqlite3.connect(round.server.store)) as disk, disk:
            disk.execute("DELETE FROM links WHERE id = ?", (lost.id,))

    result = yard.round(9_999, seed=SEED, moves=["tap", "tap"], spoil=spoil)
    assert [len(ids) for ids in (result.count.lost, result.count.doubled, result.count.strange)] == [1, 1, 1]
    assert any("does not fit the head" in wrong for wrong in result.wrong)
    assert any("differ" in wrong for wrong in result.wrong)
