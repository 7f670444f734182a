"""A preload is told as a band that holds the nominal, or refused with every reason."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.core.fasten.answer import NotComputable
from putback.core.fasten.clamp import (
    MENDS,
    Doubt,
    FrictionJoint,
    PreloadBand,
    preload_from_friction,
    preload_from_nut_factor,
    refuse_doubts,
    share_of_proof,
    torque_shares,
)
from putback.core.fasten.preload import SCATTERS, scatter_of

M8 = FrictionJoint(
    diameter_mm=8,
    pitch_mm=1.25,
    bearing_outer_mm=11.63,
    hole_mm=9,
    thread_friction=(0.08, 0.16),
    head_friction=(0.08, 0.16),
    friction_source="VDI 2230 class B, from memory",
)
SOME = PreloadBand(nominal_n=20_000, low_n=15_000, high_n=25_000, source="example")


def test_band_by_torque_wrench() -> None:
    # Shigley 9th ed. Example 8-3, T = 3750 lbf·in = 423.7 N·m on 3/4 in gives 25 kip = 111.2 kN at K = 0.2;
    # NASA TM-106943 eq 14, 16: 1.25 and 0.714 of it by hand
    band = preload_from_nut_factor(
        torque_nm=423.7, diameter_mm=19.05, nut_factor=0.2, scatter=scatter_of("torque wrench")
    )
    assert band.nominal_n == pytest.approx(111_206, rel=1e-3)
    assert band.high_n == pytest.approx(1.25 * 111_206, rel=1e-3)
    assert band.low_n == pytest.approx(0.714 * 111_206, rel=1e-3)
    assert any("no specification" in text for text in band.warnings)
    assert "NASA" in band.source


@pytest.mark.parametrize(
    # docsbay.net/methods-of-applying-and-measuring-preload, tables of Machinery's Handbook and of NASA, seen
    ("method", "percent"),
    [
        ("torque wrench, unlubricated", 35),
        ("torque wrench, cadmium plated", 30),
        ("torque wrench, lubricated", 25),
        ("torque wrench", 25),
        ("by feel", 35),
        ("turn of nut", 15),
        ("precision power driver", 43),  # trfastenings (VDI 2230:1986), seen
    ],
)
def test_scatter_of_each_manner(method: str, percent: float) -> None:
    assert scatter_of(method).share * 100 == pytest.approx(percent)


def test_an_unknown_manner_has_no_scatter() -> None:
    with pytest.raises(NotComputable, match="hammer"):
        scatter_of("hammer")


@pytest.mark.parametrize("doubt", list(Doubt))
def test_every_doubt_refuses(doubt: Doubt) -> None:
    def by_nut_factor() -> PreloadBand:
        return preload_from_nut_factor(
            torque_nm=24, diameter_mm=8, nut_factor=0.2, scatter=SCATTERS[0], doubts={doubt}
        )

    def by_friction() -> PreloadBand:
        return preload_from_friction(torque_nm=24, joint=M8, doubts={doubt})

    for ask in (by_nut_factor, by_friction):
        with pytest.raises(NotComputable) as refused:
            ask()
        assert doubt.value in refused.value.why
        assert MENDS[doubt] in refused.value.mend


def test_all_doubts_are_told_at_once() -> None:
    with pytest.raises(NotComputable) as refused:
        refuse_doubts({Doubt.YIELD, Doubt.DAMAGED})
    assert Doubt.YIELD.value in refused.value.why
    assert Doubt.DAMAGED.value in refused.value.why


def test_all_wrong_inputs_are_told_at_once() -> None:
    with pytest.raises(NotComputable, match=r"torque is 0, diameter is -8"):
        preload_from_nut_factor(torque_nm=0, diameter_mm=-8, nut_factor=0.2, scatter=SCATTERS[0])


def test_shares_of_an_m8() -> None:
    # Kellermann-Klein split worked out for M8, mu 0.12: 15.1 / 37.8 / 47.0 %
    shares = torque_shares(joint=M8)
    assert [round(share, 1) for share in shares.values()] == [15.1, 37.8, pytest.approx(47.0, abs=0.1)]


@pytest.mark.parametrize("band", [(0.16, 0.08), (-0.1, 0.1)])
def test_a_friction_band_upside_down_is_refused(band: tuple[float, float]) -> None:
    joint = FrictionJoint(
        diameter_mm=8,
        pitch_mm=1.25,
        bearing_outer_mm=11.63,
        hole_mm=9,
        thread_friction=band,
        head_friction=(0.1, 0.1),
        friction_source="example",
    )
    with pytest.raises(NotComputable, match="thread friction"):
        preload_from_friction(torque_nm=24, joint=joint)


@pytest.mark.parametrize("share", [-0.1, 1.0, float("nan")])
def test_a_torque_that_may_be_off_by_everything_is_refused(share: float) -> None:
    with pytest.raises(NotComputable, match="says nothing"):
        preload_from_friction(torque_nm=24, joint=M8, torque_share=share)


@pytest.mark.parametrize(
    ("proof_load_n", "word"), [(30_000, ""), (20_000, "the most preload"), (10_000, "even the least")]
)
def test_share_of_the_proof_load(proof_load_n: float, word: str) -> None:
    (low, high), told = share_of_proof(preload_band=SOME, proof_load_n=proof_load_n)
    assert low == pytest.approx(15_000 / proof_load_n)
    assert high == pytest.approx(25_000 / proof_load_n)
    assert bool(told) is bool(word)
    assert word in " ".join(told)


@given(torque_nm=st.floats(0.1, 1000), share=st.floats(0, 0.5))
def test_the_band_holds_the_nominal(torque_nm: float, share: float) -> None:
    by_friction = preload_from_friction(torque_nm=torque_nm, joint=M8, torque_share=share)
    by_factor = preload_from_nut_factor(torque_nm=torque_nm, diameter_mm=8, nut_factor=0.2, scatter=SCATTERS[0])
    for band in (by_friction, by_factor):
        assert 0 < band.low_n < band.nominal_n < band.high_n


@given(one=st.floats(0.1, 1000), other=st.floats(0.1, 1000))
def test_more_torque_is_never_less_preload(one: float, other: float) -> None:
    small, large = (preload_from_friction(torque_nm=torque_nm, joint=M8) for torque_nm in sorted((one, other)))
    assert small.low_n <= large.low_n
    assert small.nominal_n <= large.nominal_n
    assert small.high_n <= large.high_n
