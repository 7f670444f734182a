"""A lubricant on a dry torque: printed figures, a band and a warning, never a smaller torque."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fasten.asked import ask, look, looked_up, rows_of
from core.fasten.rows import PrintedRow, rows
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.lubricant import (
    FORMULAS,
    NEVER_REDUCED,
    SURFACES,
    TABLES,
    Surface,
    gain_percent,
    lubricant_effect,
    preload_as_found,
    surface,
)


@pytest.mark.parametrize("row", rows_of(FORMULAS), ids=lambda row: row.id)
def test_printed_rows(row: PrintedRow) -> None:
    answer = ask(FORMULAS, row.formula, **row.inputs)
    assert answer.value is not None, row
    assert row.agrees(answer.value), (row, answer)
    assert NEVER_REDUCED in answer.warnings


@pytest.mark.parametrize("row", looked_up("lubricant"), ids=lambda row: row.id)
def test_table_rows(row: PrintedRow) -> None:
    line = look(TABLES, row)
    assert row.agrees(line.value)
    assert line.unit == row.unit


@pytest.mark.parametrize(
    # zipfastener.com/engineering-data, nut factors as ranges, seen
    ("name", "least", "most"),
    [
        ("dry steel", 0.18, 0.27),
        ("machine oil", 0.10, 0.26),
        ("cadmium plated", 0.15, 0.19),
        ("phosphate and oil", 0.15, 0.22),
        ("zinc plated", 0.17, 0.35),
        ("stainless on stainless", 0.30, 0.50),
    ],
)
def test_ranges_of_nut_factors(name: str, least: float, most: float) -> None:
    assert (surface(name).least, surface(name).most) == (least, most)


def test_anti_seize_covers_all_that_was_measured() -> None:
    # K worked out from published tests with anti-seize: mechanicsupport.com 0.11; securitylocknut.com 4800 lbf·in on
    # 7/8 in for 32 000 and 35 000 lbf
    measured = (0.11, 4800 / (32_000 * 0.875), 4800 / (35_000 * 0.875))
    assert all(surface("anti-seize").least <= k <= surface("anti-seize").most for k in measured)
    assert {row.id for row in rows("lubricant", "K_from")} >= {"LU-006", "LU-009"}


def test_dry_torque_on_anti_seize() -> None:
    # securitylocknut.com: 400 lbf·ft on 7/8-9, 30 000 lbf dry, 32 000 to 35 000 with anti-seize, measured
    effect = lubricant_effect(published_for=surface("dry steel"), found=surface("anti-seize"))
    low, high = effect.band_percent
    assert low <= (32_000 / 30_000 - 1) * 100 <= (35_000 / 30_000 - 1) * 100 <= high
    assert low <= effect.middle_percent <= high
    assert NEVER_REDUCED in effect.warnings
    assert any("strips the thread" in text for text in effect.warnings)


def test_less_preload_is_told_too() -> None:
    effect = lubricant_effect(published_for=surface("anti-seize"), found=surface("zinc plated"))
    assert effect.low_percent < 0
    assert any("too little preload" in text for text in effect.warnings)


def test_the_same_state_needs_no_alarm() -> None:
    effect = lubricant_effect(published_for=surface("dry steel"), found=surface("dry steel"))
    assert effect.middle_percent == 0
    assert NEVER_REDUCED not in effect.warnings


def test_no_torque_comes_out() -> None:
    effect = lubricant_effect(published_for=surface("dry steel"), found=surface("anti-seize"))
    assert not any("torque" in field.name for field in dataclasses.fields(effect))


@pytest.mark.parametrize("name", ["dirt", "rust", "copper paste", ""])
def test_what_nobody_measured_is_refused(name: str) -> None:
    with pytest.raises(NotComputable, match="clean the thread"):
        surface(name)


def test_preload_as_found_covers_the_measured_bolts() -> None:
    # securitylocknut.com: 400 lbf·ft = 542.3 N·m on 7/8 in (22.225 mm), anti-seize: 32 000 to 35 000 lbf measured
    band = preload_as_found(torque_nm=542.3, diameter_mm=22.225, found=surface("anti-seize"))
    assert band.low_n <= 32_000 * 4.448 <= 35_000 * 4.448 <= band.high_n


@pytest.mark.parametrize(("torque_nm", "share"), [(0.0, 0.0), (24.0, 1.0), (24.0, -0.1)])
def test_what_preload_as_found_refuses(torque_nm: float, share: float) -> None:
    with pytest.raises(NotComputable):
        preload_as_found(torque_nm=torque_nm, diameter_mm=8, found=SURFACES[0], torque_share=share)


BANDS = st.tuples(st.floats(0.05, 0.5), st.floats(0.05, 0.5)).map(sorted)


@given(meant=BANDS, found=BANDS)
def test_the_band_holds_every_pair_within(meant: list[float], found: list[float]) -> None:
    one, other = (
        Surface(name=name, least=band[0], most=band[1], source="") for name, band in (("one", meant), ("other", found))
    )
    effect = lubricant_effect(published_for=one, found=other)
    low, high = effect.band_percent
    for published in (*meant, one.middle):
        for at_hand in (*found, other.middle):
            gain = gain_percent(published_nut_factor=published, found_nut_factor=at_hand)
            assert low - 1e-9 <= gain <= high + 1e-9


@given(torque_nm=st.floats(0.1, 1000), share=st.floats(0, 0.5))
def test_preload_as_found_holds_the_nominal(torque_nm: float, share: float) -> None:
    for found in SURFACES:
        band = preload_as_found(torque_nm=torque_nm, diameter_mm=8, found=found, torque_share=share)
        assert 0 < band.low_n < band.nominal_n < band.high_n
