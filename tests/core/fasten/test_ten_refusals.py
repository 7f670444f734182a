"""The ten things that are never done, each asked for in the plainest way.

They are rules of this house, held against what the functions for people answer; where a rule has a source, it stands
beside its check.
"""

from datetime import date

import pytest

from core.gates.bench import before, operation
from core.small import Hands, item, joint, small_car
from putback.core.car import VALUE_NEEDED
from putback.core.fasten import alexander, lifting
from putback.core.fasten.angle import Fate, Turn, angle_run, outcome
from putback.core.fasten.answer import NotComputable
from putback.core.fasten.clamp import Doubt, PreloadBand, preload_from_nut_factor
from putback.core.fasten.electrical import MEASURE, NEVER_A_WAIT, discharge
from putback.core.fasten.gloves import Current, gloves_for, meter_for
from putback.core.fasten.hole import Hole, HoleDoubt, Metal, strip_margin
from putback.core.fasten.isolation import isolation
from putback.core.fasten.layout import MAKER, MAKER_WINS, PRACTICE, circle, order_for, tightening_order
from putback.core.fasten.lever import Adapter
from putback.core.fasten.limits import limits
from putback.core.fasten.lubricant import NEVER_REDUCED, lubricant_effect, surface
from putback.core.fasten.passes import OWN, passes
from putback.core.fasten.preload import scatter_of
from putback.core.fasten.seat import By, Gasket, Seat, tighten_seat
from putback.core.fasten.units import convert, kept
from putback.core.fasten.wrench import Direction, Task, Wrench, WrenchKind, judge
from putback.core.gates import GateKind
from putback.core.operations import Verb
from putback.core.quantity import Refused, Torque, read_torque
from putback.core.rules import audit

DAY = date(2026, 3, 2)
DISCONNECT = operation(Verb.REMOVE, "service-disconnect")


# 1 --- no torque, angle, sequence or count is invented


def test_1_a_guide_for_a_plug_calls_itself_none_of_the_makers() -> None:
    told = tighten_seat(seat=Seat.GASKET, gasket=Gasket.NEW, by=By.TORQUE, thread="M14", head="aluminium")
    assert not told.by_maker
    assert told.says.startswith("value needed from the engine maker; general guide, no specification")


def test_1_a_thread_without_guide_is_not_given_the_next_ones() -> None:
    with pytest.raises(NotComputable, match="value needed"):
        tighten_seat(seat=Seat.GASKET, gasket=Gasket.NEW, by=By.TORQUE, thread="M13", head="aluminium")


def test_1_a_joint_without_a_source_has_no_torque() -> None:
    one = joint("j1", torque="24 N·m", source=None)
    assert one.torque is not None
    assert one.sourced_torque is None
    assert VALUE_NEEDED == "value needed"


def test_1_a_sequence_that_is_not_the_makers_is_called_common_practice() -> None:
    told = order_for(circle(count=8, diameter_mm=100.0))
    assert told.source == PRACTICE
    assert MAKER_WINS in told.warnings
    assert passes(torque=read_torque("24 N·m"), order=told.order).source == PRACTICE


def test_1_no_sequence_is_made_up_where_none_is_named() -> None:
    assert tightening_order(circle(count=8, diameter_mm=100.0), None) == tuple(range(8))


def test_1_no_angle_is_made_up_for_a_torque() -> None:
    with pytest.raises(NotComputable, match="no angle"):
        angle_run(torque=read_torque("24 N·m"), order=(0, 1))


# 2 --- the maker is not overruled; a conflict is shown


def test_2_the_makers_value_stands_where_a_guide_says_otherwise() -> None:
    given = Torque(value=40.0, unit="N·m")
    told = tighten_seat(
        seat=Seat.GASKET,
        gasket=Gasket.NEW,
        by=By.TORQUE,
        thread="M14",
        head="aluminium",
        maker_torque=given,
        maker_source="works manual, page 7",
    )
    assert (told.low, told.high, told.unit, told.by_maker) == (40.0, 40.0, "N·m", True)


def test_2_the_makers_isolation_limit_is_what_is_asked_and_the_conflict_is_told() -> None:
    told = isolation(
        measured_ohm=150e3, voltage_v=400, ohm_per_volt=500, maker_limit_ohm=100e3, maker_source="works manual"
    )
    assert told.asked_ohm == 100e3
    assert told.floor_ohm == 200e3
    assert any("ask the maker" in text for text in told.warnings)


def test_2_the_makers_sequence_and_passes_win() -> None:
    told = order_for(circle(count=4, diameter_mm=80.0), pattern="star", makers=[1, 2, 3, 4])
    assert (told.order, told.source) == ((0, 1, 2, 3), MAKER)
    own = passes(torque=read_torque("50 N·m"), order=told.order, own_percent=(40.0, 100.0))
    assert ([one.percent for one in own.passes], own.source) == ([40.0, 100.0], OWN)


# 3 --- no shorter wait, and nothing computed for a measured zero


@pytest.mark.parametrize(("minutes", "source"), [(None, None), (10.0, None), (10.0, "  ")])
def test_3_a_wait_that_no_source_gives_is_needed(minutes: float | None, source: str | None) -> None:
    told = discharge(resistance_ohm=150e3, capacitance_f=300e-6, start_v=400, wait_minutes=minutes, wait_source=source)
    assert told.wait_says == "wait: value needed, from the maker's publication; then measure"


@pytest.mark.parametrize("resistance_ohm", [100.0, 150e3, 5e6])
def test_3_the_computed_time_never_changes_the_makers_wait(resistance_ohm: float) -> None:
    told = discharge(
        resistance_ohm=resistance_ohm, capacitance_f=300e-6, start_v=400, wait_minutes=10, wait_source="works manual"
    )
    assert told.wait_says == "wait: 10 min (works manual); then measure"
    assert {NEVER_A_WAIT, MEASURE} <= set(told.warnings)


def test_3_a_wait_over_does_not_open_what_a_measurement_opens() -> None:
    """After all waits, without a reading, the orange shield stays shut."""
    prove = operation(Verb.PROVE_DEAD, "hv")
    bench = before(prove).pass_minutes(24 * 60)
    assert (GateKind.PROOF, "hv") in bench.shut()


# 4 --- no high-voltage step without person, gloves, meter, lock


@pytest.mark.parametrize(
    ("event", "kind"),
    [
        ("grade shown", GateKind.WHO),
        ("gloves checked", GateKind.GLOVES),
        ("keys counted", GateKind.KEYS),
        ("second person named", GateKind.SECOND_PERSON),
        ("boundary set", GateKind.BOUNDARY),
    ],
)
def test_4_each_missing_one_alone_keeps_the_disconnect_shut(event: str, kind: GateKind) -> None:
    bench = before(DISCONNECT)
    assert (kind, "hv") not in bench.shut(DISCONNECT)
    bench.entries = [one for one in bench.entries if one.event.kind != event]
    assert (kind, "hv") in bench.shut(DISCONNECT)


def test_4_gloves_out_of_date_or_of_too_low_a_class_may_not_be_used() -> None:
    """Six months in service: OSHA letter of interpretation, 25 January 2019 (seen)."""
    good = gloves_for(voltage_v=400, current=Current.DC, glove_class="0", tested_on=date(2025, 10, 1), day=DAY)
    old = gloves_for(voltage_v=400, current=Current.DC, glove_class="0", tested_on=date(2025, 9, 2), day=DAY)
    thin = gloves_for(voltage_v=400, current=Current.DC, glove_class="00", tested_on=date(2025, 10, 1), day=DAY)
    undated = gloves_for(voltage_v=400, current=Current.DC, glove_class="0", tested_on=None, day=DAY)
    assert [one.may_be_used for one in (good, old, thin, undated)] == [True, False, False, False]


def test_4_a_meter_below_category_three_or_the_voltage_may_not_be_used() -> None:
    """Category III, rated for the pack: common practice, no source."""
    assert meter_for(voltage_v=400, category="III", rated_v=1000).may_be_used
    assert not meter_for(voltage_v=400, category="II", rated_v=1000).may_be_used
    assert not meter_for(voltage_v=800, category="III", rated_v=600).may_be_used


# 5 --- no one-time fastener goes back


def test_5_a_one_time_joint_tightened_with_its_old_fasteners_is_a_fault() -> None:
    car = small_car(item("pipe", (), joint("o1", 2, "M8x40", "12 N·m + 90°", one_time=True)))
    hands = Hands(car)
    old = [*hands.out("pipe"), *hands.home("pipe")]
    new = [*hands.out("pipe"), hands.renew("pipe", joint="o1"), *hands.home("pipe")]
    found = {which: {one.rule for one in audit(car, work)} for which, work in (("old", old), ("new", new))}
    assert "one_time_part_back_in" in found["old"]
    assert "one_time_part_back_in" not in found["new"]


def test_5_a_bolt_at_its_final_tightness_or_turned_too_far_is_renewed() -> None:
    run = angle_run(torque=read_torque("12 N·m + 90°"), order=(0, 1))
    done = [Turn(bolt=0, step=1), Turn(bolt=0, step=2, angle_deg=90)]
    assert outcome(run, done).bolts[0].fate is Fate.FINAL
    assert outcome(run, [*done, Turn(bolt=0, step=2, angle_deg=10)]).new_bolts == (0,)
    assert outcome(run, [done[0], Turn(bolt=0, step=2, angle_deg=120)]).new_bolts == (0,)


# 6 --- no preload where it cannot be known


@pytest.mark.parametrize("doubt", list(Doubt))
def test_6_one_doubt_is_enough(doubt: Doubt) -> None:
    def asked(*doubts: Doubt) -> PreloadBand:
        wrench = scatter_of("torque wrench")
        return preload_from_nut_factor(torque_nm=45, diameter_mm=10, nut_factor=0.2, scatter=wrench, doubts=doubts)

    assert asked().nominal_n > 0
    with pytest.raises(NotComputable, match="no preload"):
        asked(doubt)


def test_6_the_doubts_are_those_that_the_rule_names() -> None:
    assert {doubt.name for doubt in Doubt} == {"YIELD", "PREVAILING", "COATING", "DAMAGED", "UNIDENTIFIED"}


# 7 --- no lubricant correction as a specification, no strip margin in the dark


def test_7_a_lubricant_is_told_as_a_band_without_any_torque() -> None:
    told = lubricant_effect(published_for=surface("dry steel"), found=surface("anti-seize"))
    assert NEVER_REDUCED in told.warnings
    assert told.band_percent[0] < told.band_percent[1]
    assert not any("N·m" in text or "lbf" in text for text in told.warnings)


def hole(
    *,
    tensile_mpa: float | None = 250.0,
    full_mm: float | None = 15.0,
    metal: Metal = Metal.ALUMINIUM,
    doubts: frozenset[HoleDoubt] = frozenset(),
) -> Hole:
    return Hole(
        limits=limits("M10x1.5"),
        metal=metal,
        tensile_mpa=tensile_mpa,
        tensile_source="made-up",
        full_mm=full_mm,
        doubts=doubts,
    )


BAND = PreloadBand(nominal_n=20e3, low_n=15e3, high_n=25e3, source="made-up")


@pytest.mark.parametrize(
    "dark",
    [
        hole(tensile_mpa=None),
        hole(metal=Metal.UNKNOWN),
        hole(full_mm=None),
        *(hole(doubts=frozenset({doubt})) for doubt in HoleDoubt),
    ],
)
def test_7_a_hole_in_the_dark_has_no_margin(dark: Hole) -> None:
    assert strip_margin(hole=hole(), preload_band=BAND).margin[0] > 0
    with pytest.raises(NotComputable, match="the margin is unknown"):
        strip_margin(hole=dark, preload_band=BAND)


# 8 --- no wrench outside its range, out of calibration, or behind an adapter of unknown length


def wrench(**other: object) -> Wrench:
    usual: dict[str, object] = {
        "id": "b",
        "name": "B",
        "kind": WrenchKind.CLICK,
        "lowest": 10.0,
        "top": 100.0,
        "unit": "N·m",
        "grip_length_mm": 400.0,
        "tolerance_class": "II-A",
        "calibrated_on": date(2025, 9, 1),
        "direction": Direction.RIGHT,
    }
    return Wrench(**{**usual, **other})  # type: ignore[arg-type]


def can(one: Wrench, torque: str, adapter: Adapter | None = None) -> bool:
    return judge(one, Task(torque=read_torque(torque), day=DAY, adapter=adapter)).can


def test_8_a_wrench_is_used_from_a_fifth_of_its_top_to_its_top() -> None:
    """ISO 6789:2003 checks a wrench at 20, 60 and 100 % of its top (seen in a manual)."""
    torques = ("19.9 N·m", "20 N·m", "100 N·m", "100.1 N·m")
    assert [can(wrench(), torque) for torque in torques] == [False, True, True, False]


def test_8_the_setting_behind_an_adapter_must_be_in_range_too() -> None:
    assert can(wrench(), "21 N·m")
    assert not can(wrench(), "21 N·m", Adapter(length_mm=50.0))


def test_8_calibration_out_of_date_or_unknown_is_refused() -> None:
    assert not can(wrench(calibrated_on=date(2025, 2, 1)), "50 N·m")
    assert not can(wrench(calibrated_on=None), "50 N·m")


def test_8_an_adapter_of_unknown_length_is_refused() -> None:
    assert can(wrench(), "50 N·m", Adapter(length_mm=50.0))
    assert not can(wrench(), "50 N·m", Adapter(length_mm=None))


# 9 --- nothing outside a formula's range


def test_9_outside_its_range_a_formula_says_so() -> None:
    """Sling below 30 degrees; bending factors outside ISO/TR 16224; a size in no table; no class of gloves."""
    with pytest.raises(NotComputable):
        lifting.sling_factor(angle_deg=29.9)
    with pytest.raises(NotComputable):
        alexander.bolt_bending(strength_ratio=2.3)
    with pytest.raises(NotComputable):
        alexander.hole_bending(strength_ratio=0.3)
    with pytest.raises(NotComputable):
        alexander.nut_dilation(width_over_diameter=2.0)
    with pytest.raises(NotComputable):
        limits("M7.3x1")
    with pytest.raises(NotComputable):
        gloves_for(voltage_v=1e6, current=Current.AC, glove_class="4", tested_on=DAY, day=DAY)
    with pytest.raises(NotComputable):
        convert(value=1.0, from_unit="N·m", to_unit="N")


# 10 --- no digit is lost on the way


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("18.0", "lbf*ft", "18.0 lbf·ft (24.4 N·m)"),
        ("18", "lbf*ft", "18 lbf·ft (24.4 N·m)"),
        ("18.00", "lbf*ft", "18.00 lbf·ft (24.40 N·m)"),
        ("24", "N·m", "24 N·m"),
    ],
)
def test_10_the_sources_unit_and_digits_stay_and_the_other_stands_beside_it(text: str, unit: str, shown: str) -> None:
    """1 lbf·ft = 1.355818 N·m (NIST SP 811, appendix B.8); as many digits as the source gives, three at least."""
    assert str(kept(text, unit)) == shown


def test_10_a_bare_number_is_no_torque() -> None:
    with pytest.raises(Refused, match="no unit"):
        read_torque("24")


def test_10_a_pass_keeps_the_sources_unit_and_the_last_one_its_very_figure() -> None:
    told = passes(torque=Torque(value=17.123456789012, unit="lbf·in"), order=(0, 1))
    assert told.passes[-1].torque == Torque(value=17.123456789012, unit="lbf·in")
    assert {one.torque.unit for one in told.passes} == {"lbf·in"}
