"""A drive logged over a bus: what came, what did not, and nothing sent but services 01 and 06.

The modules' frames are made by can-isotp; the figures are the virtual car's, invented.
"""

from collections import Counter

import pytest

from drives import HAS, bench_of, services_sent
from putback.adapters.bus.watch import Watched, Wish, watch
from putback.adapters.virtual_car import Happened, Switches
from putback.adapters.virtual_car.drive import moment
from putback.core.codes.drive.against import hold_against
from putback.core.codes.drive.bins import Settings
from putback.core.codes.drive.log import Drive, Record, drive_of, rate
from putback.core.codes.drive.misfire import Ran, last_count
from virtual_cars import beside


def logged(seconds: float, wish: Wish | None = None, **engine: object) -> tuple[Watched, Drive, set[int], list[bytes]]:
    """A drive on a bench in its own time: what came of it, the drive, services sent, requests that the engine saw."""
    bench, running = bench_of(**engine)
    kept: list[Record] = []
    wish = wish or Wish(seconds=seconds)
    watched = watch(bench, wish, kept.append, clock=bench.clock)
    return watched, drive_of(kept, name=""), services_sent(bench), running.asked


def test_all_that_is_usual_is_logged_and_only_two_services_are_sent() -> None:
    watched, made, services, _ = logged(20.0, misfires=b"\x00\x07")
    assert watched.failed == ""
    assert watched.logged == HAS
    assert {channel.key for channel in made.channels if channel.live} == {f"{pid:02X}" for pid in HAS}
    assert services == {0x01, 0x06}
    found = rate(made.series["0D"])
    assert found.step_s == pytest.approx(0.1, abs=0.01)
    assert found.drop_outs == 0


def test_values_are_those_of_the_engine() -> None:
    """Each as close as its PID's own step allows."""
    _, made, _, _ = logged(110.0)
    steps = {"0D": 1.0, "0C": 2.0, "05": 1.0, "04": 0.4, "07": 0.8}
    for key, step in steps.items():
        for one in made.series[key]:
            now = moment(run_s=900.0 + one.at_s, driving_s=one.at_s, false_air=False)
            true = {
                "0D": now.speed_km_h,
                "0C": now.engine_per_min,
                "05": now.coolant_c,
                "04": now.load_percent,
                "07": now.long_trim_percent,
            }[key]
            earlier = moment(run_s=900.0 + one.at_s - 0.05, driving_s=max(0.0, one.at_s - 0.05), false_air=False)
            jump = abs(earlier.load_percent - now.load_percent) + abs(earlier.engine_per_min - now.engine_per_min)
            assert one.value == pytest.approx(true, abs=step + jump), (key, one.at_s)


def test_six_at_once_where_the_module_can() -> None:
    _, _, _, asked = logged(5.0)
    sizes = Counter(len(one) - 1 for one in asked if one[0] == 1 and len(one) > 2)
    assert set(sizes) == {6, 3}


def test_one_at_a_time_where_it_cannot() -> None:
    _, made, _, asked = logged(5.0, alone=True)
    assert sum(len(one) > 2 for one in asked if one[0] == 1) == 2
    assert all(rate(made.series[f"{pid:02X}"]).values > 20 for pid in HAS)
    assert rate(made.series["0D"]).drop_outs == 1


def test_what_is_left_out_of_a_shared_answer_is_asked_alone() -> None:
    _, made, _, asked = logged(5.0, leaves_out=frozenset({0x0C}))
    assert bytes([0x01, 0x0C]) in asked
    assert (rate(made.series["0C"]).drop_outs, rate(made.series["0D"]).drop_outs) == (1, 0)


def test_silence_is_drop_outs_and_the_log_goes_on() -> None:
    watched, made, _, _ = logged(10.0, mute_from_s=3.0, mute_to_s=5.0)
    assert watched.failed == ""
    lost = [one.at_s for one in made.series["0D"] if one.value is None]
    assert lost
    assert all(3.0 <= at_s <= 5.3 for at_s in lost)
    assert made.series["0D"][-1].at_s > 9.5
    assert rate(made.series["0D"]).longest_s == pytest.approx(2.0, abs=0.4)


def test_a_module_that_says_nothing_is_no_log() -> None:
    watched, made, services, _ = logged(5.0, mute_from_s=0.0)
    assert watched.failed == "the module does not say which PIDs it has"
    assert made.series == {}
    assert services == {0x01}


def test_pids_that_are_not_there_are_named() -> None:
    watched, made, _, _ = logged(3.0, Wish(pids=(0x0C, 0x5C, 0x03), seconds=3.0))
    assert (watched.logged, watched.not_supported, watched.not_figures) == ((0x0C,), (0x5C,), (0x03,))
    assert {one.key for one in made.channels if one.live} == {"0C"}
    watched, _, _, _ = logged(3.0, Wish(pids=(0x5C,), seconds=3.0))
    assert watched.failed == "nothing that was chosen can be logged"


@pytest.mark.parametrize(
    ("sent", "ran", "count"),
    [(b"\x00\x07", Ran.COUNTED, 7), (b"\x00\x00", Ran.NOT_RUN, None), (None, Ran.NOT_ASKED, None)],
)
def test_misfires_are_counted_or_not_run(sent: bytes | None, ran: Ran, count: int | None) -> None:
    _, made, _, _ = logged(12.0, misfires=sent)
    found = last_count(made, "06-A4-0C")
    assert (found.ran, found.count) == (ran, count)


def test_stopping_keeps_what_came() -> None:
    bench, _ = bench_of()
    kept: list[Record] = []
    watched = watch(bench, Wish(), kept.append, clock=bench.clock, stop=lambda: bench.now > 4.0)
    assert watched.stopped
    assert watched.rounds > 30
    assert max(one.at_s for one in kept) == pytest.approx(4.0, abs=0.3)


def test_the_difference_that_was_put_in_comes_out() -> None:
    """False air of the virtual car, gone after the work: at idle the trims were 14 % higher, by its own arithmetic."""
    _, before, _, _ = logged(720.0, false_air=True)
    _, after, _, _ = logged(720.0)
    found = hold_against(before, after, Settings())
    sums = found.channels[0]
    assert sums.channel.key == "06+07"
    idle = next(row for row in sums.figures if row.bin.speed == -1 and row.bin.load == 2)
    assert idle.mean is not None
    assert idle.mean.value == pytest.approx(-14.0, abs=0.4)
    assert idle.mean.low is not None
    assert idle.mean.high is not None
    assert idle.mean.low <= -14.0 + 0.4
    assert idle.mean.high >= -14.0 - 0.4
    assert idle.mean.high - idle.mean.low < 2.0
    speed = next(one for one in found.channels if one.channel.key == "0C")
    steady = next(row for row in speed.figures if row.bin.speed == 2 and row.bin.load == 3)
    assert steady.mean is not None
    assert abs(steady.mean.value) < 5.0


def test_five_seconds_of_the_virtual_car() -> None:
    """Over python-can's virtual bus, in real time: logged twice, compared, and too little to say anything."""
    drives = []
    for false_air in (True, False):
        kept: list[Record] = []
        with beside(happened=Happened(driving=True, false_air=false_air), switches=Switches(at_once=True)) as (bus, _):
            watched = watch(bus, Wish(seconds=5.0), kept.append)
        assert watched.failed == ""
        drives.append(drive_of(kept, name=""))
    found = hold_against(drives[0], drives[1])
    assert not found.missing
    assert found.channels
    assert all(row.mean is None and row.why.startswith("too few visits") for one in found.channels for row in one.rows)
    assert [one.before.count for one in found.cylinders] == [3, 7, 4, 2]


def test_loss_is_seen_as_drop_outs() -> None:
    kept: list[Record] = []
    with beside(switches=Switches(loss=0.1, at_once=True)) as (bus, _):
        watched = watch(bus, Wish(seconds=4.0), kept.append)
    made = drive_of(kept, name="")
    assert watched.rounds > 3
    found = [rate(made.series[f"{pid:02X}"]) for pid in watched.logged]
    assert any(one.drop_outs for one in found)
    assert all(one.values for one in found)
