"""A log read as a car is read: who answered, who did not, what was broken, and where one read ends."""

from hypothesis import given
from hypothesis import strategies as st

from putback.core.codes.talk.car_read import CarRead, How, ModuleRead
from putback.core.codes.talk.frames import place_of
from putback.core.codes.talk.replay import Replay, Replayed

START = 1_780_000_000.0

Row = tuple[float, int, bytes]


def rows(text: str, *, start_s: float = START, channel: int = 0) -> list[Row]:
    """Frames as `ID#DATA`, a millisecond apart."""
    parts = [one.split("#") for one in text.split()]
    return [
        (start_s + n * 0.001, place_of(int(id, 16), extended=len(id) > 3, channel=channel), bytes.fromhex(data))
        for n, (id, data) in enumerate(parts)
    ]


def replayed(*parts: list[Row], names: dict[int, str] | None = None) -> Replayed:
    replay = Replay(stage="before", bus="a log", names=names)
    for part in parts:
        replay.take_all(part)
    return replay.end()


def only(found: Replayed) -> CarRead:
    assert len(found.reads) == 1, found
    return found.reads[0]


def module(read: CarRead, name: str) -> ModuleRead:
    return next(one for one in read.modules if one.module == name)


def test_codes_number_and_readiness_of_published_exchanges() -> None:
    """VIN: hartkopp/can-isotp issue 34. Two codes with a count: a public forum page. Readiness 00 07 E5 00: a public
    library issue; its decoding computed. Permanent codes: invented."""
    number = "7DF#0209020000000000 7E8#1014490201574458 7E0#3000 7E8#212D53494D303031 7E8#2239323132333435 "
    codes = "7DF#0103 7E8#06430201020113 7DF#0107 7E8#024700 7DF#010A 7E8#044A010104 7DF#020101 7E8#0641010007E500"
    read = only(replayed(rows(number + codes)))
    (one,) = read.modules
    assert (one.how, [(line.code, line.status) for line in one.listed]) == (
        How.ANSWERED,
        [("P0102", "08 of 08"), ("P0113", "08 of 08")],
    )
    assert (read.vin, one.permanent) == ("WDX-SIM0019212345", ("P0104",))
    assert one.readiness is not None
    assert (one.readiness.supported, one.readiness.complete) == (8, 8)
    assert (read.at, read.stage, read.bus) == ("2026-05-28T20:26:40+00:00", "before", "a log")


def test_who_was_asked_and_did_not_answer_is_silent() -> None:
    physical = "7E0#031902FF 7E8#0759020F0A9B1724 7E1#031902FF 18DA40F1#031902FF 7E2#031902FF 7EA#037F1978"
    read = only(replayed(rows(physical)))
    assert {one.module: one.how for one in read.modules} == {
        "module 7e0": How.ANSWERED,
        "module 7e1": How.SILENT,
        "module 7e2": How.SILENT,
        "module 18da40f1": How.SILENT,
    }
    assert "its answer is not in the log" in module(read, "module 7e2").said[0]
    listing = read.listing("log")
    assert (listing.answered, len(listing.silent)) == (frozenset({"module 7e0"}), 3)
    assert (listing.listed[0].code, listing.listed[0].status) == ("P0A9B-17", "04 of 0F")


def test_a_module_that_once_answered_all_and_now_does_not_is_silent() -> None:
    first = rows("7DF#0103 7E8#024300 7E9#024300")
    second = rows("7DF#0103 7E8#024300", start_s=START + 60)
    reads = replayed(first, second).reads
    assert [[one.how for one in read.modules] for read in reads] == [
        [How.ANSWERED, How.ANSWERED],
        [How.ANSWERED, How.SILENT],
    ]


def test_long_ids_are_not_spoken_to_under_the_short_one() -> None:
    found = rows("18DA10F1#031902FF 18DAF110#035902FF") + rows("7DF#0103 7E8#024300", start_s=START + 1)
    assert module(only(replayed(found)), "module 18da10f1").how is How.ANSWERED


def test_a_list_that_is_cut_off_is_partial_with_what_came() -> None:
    """Length 0x13 is four codes; two frames of three came. Invented codes."""
    read = only(replayed(rows("7E0#031902FF 7E8#10135902FF0A9B17 7E0#30 7E8#21240AA017240AB0")))
    (one,) = read.modules
    assert (one.how, [line.code for line in one.listed]) == (How.PARTIAL, ["P0A9B-17", "P0AA0-17"])
    assert read.listing("log").partial == frozenset({one.module})


def test_a_list_without_its_beginning_is_partial() -> None:
    read = only(replayed(rows("7E0#031902FF 7E8#21240AA017240AB0 7E8#2217240AB117")))
    assert [(one.how, one.listed) for one in read.modules] == [(How.PARTIAL, ())]


def test_a_count_that_is_not_met_is_partial() -> None:
    read = only(replayed(rows("7DF#0103 7E8#06430301020113")))
    assert (read.modules[0].how, len(read.modules[0].listed)) == (How.PARTIAL, 2)


def test_the_better_of_several_answers_counts() -> None:
    broken_then_whole = "7E0#031902FF 7E8#10135902FF0A9B17 7E0#031902FF 7E8#0759020F0A9B1724"
    assert only(replayed(rows(broken_then_whole))).modules[0].how is How.ANSWERED
    refused_then_whole = "7E0#031902FF 7E8#037F197F 7E0#021003 7E8#065003003201F4 7E0#031902FF 7E8#0759020F0A9B1724"
    assert only(replayed(rows(refused_then_whole))).modules[0].how is How.ANSWERED
    refused = only(replayed(rows("7E0#031902FF 7E8#037F1922"))).modules[0]
    assert (refused.how, refused.said) == (
        How.REFUSED,
        ("codes with their status: conditions are not right (7F 19 22)",),
    )


def test_other_status_bits_than_confirmed_make_a_list_that_is_not_whole() -> None:
    assert only(replayed(rows("7E0#03190201 7E8#035902FF"))).modules[0].how is How.PARTIAL
    confirmed = only(replayed(rows("7E0#03190208 7E8#035902FF"))).modules[0]
    assert confirmed.how is How.ANSWERED
    assert "only codes with one of the status bits 08 were asked for" in confirmed.notes


def test_other_ids_count_where_an_answer_fits_a_request() -> None:
    asked = "7A0#031902FF 7A8#0759020F0A9B1724 730#031902FF 750#0759020F0AA01724 7B1#031902FF"
    ordinary = "123#0743010133000000 123#0759020F01331724 0C1#0103 0C2#0443010133"
    found = replayed(rows(f"{ordinary} {asked} {ordinary}"))
    read = only(found)
    assert {str(one.pair): one.how for one in read.modules} == {
        "730/750": How.ANSWERED,
        "7A0/7A8": How.ANSWERED,
        "7B1/7B9": How.SILENT,
    }
    assert "7B1/7B9 belong together is a guess" in read.notes[0]


def test_answers_that_nobody_asks_for() -> None:
    """A log of one side only: the standard's ids count, others are named."""
    found = replayed(rows("7E8#0759020F0A9B1724 456#0759020F0A9B1724"))
    assert [one.module for one in only(found).modules] == ["module 7e0"]
    assert "holds the answer and not the request" in only(found).modules[0].notes[0]
    assert "456 sends what looks like a list of codes" in found.notes[0]


def test_reads_are_told_apart() -> None:
    first = rows("7DF#0103 7E8#0443010102 7DF#0103 7E8#0443010102")
    cleared = rows("7DF#0104 7E8#0144 7DF#0103 7E8#024300", start_s=START + 5)
    later = rows("7DF#0103 7E8#0443010102", start_s=START + 60)
    reads = replayed(first, cleared, later).reads
    assert [len(read.modules[0].listed) for read in reads] == [1, 0, 1]
    assert [read.since for read in reads] == ["", "codes were cleared", ""]
    refused = rows("7E0#0414FFFFFF 7E8#037F1422 7DF#0103 7E8#0443010102", start_s=START + 5)
    assert len(replayed(first, refused).reads) == 1


def test_the_same_ids_on_two_channels_are_two_modules() -> None:
    one, other = rows("7DF#0103 7E8#024300"), rows("7DF#0103 7E8#0443010102", channel=1)
    read = only(replayed(one, other))
    assert {one.module: len(one.listed) for one in read.modules} == {
        "module 7e0 on channel 0": 0,
        "module 7e0 on channel 1": 1,
    }


def test_names_that_a_person_gave() -> None:
    read = only(replayed(rows("7DF#0103 7E8#0443010102"), names={0x7E8: "engine"}))
    assert (read.modules[0].module, read.modules[0].listed[0].module) == ("engine", "engine")


def test_a_log_that_counts_from_its_own_start() -> None:
    read = only(replayed([(at - START, place, data) for at, place, data in rows("7DF#0103 7E8#024300")]))
    assert (read.at, read.notes) == (
        "",
        ("the log does not say at what time it was made; this read begins at 0.000 s of it",),
    )


def test_a_log_without_codes() -> None:
    assert replayed(rows("123#0102030405060708 7E0#02010C 7E8#04410C1AF8")).reads == ()
    assert replayed([]).reads == ()


def test_a_frame_that_came_twice_is_said() -> None:
    twice = "7E0#031902FF 7E8#100B5902FF0A9B17 7E8#21240AA0172400 7E8#21240AA0172400"
    assert only(replayed(rows(twice))).modules[0].how is How.ANSWERED
    inside = "7E0#031902FF 7E8#10135902FF0A9B17 7E8#21240AA01724080A 7E8#21240AA01724080A 7E8#2202022400000000"
    notes = only(replayed(rows(inside))).modules[0].notes
    assert "codes with their status: 1 frame came twice" in notes


IDS = st.sampled_from([0x7DF, 0x7E0, 0x7E8, 0x7A0, 0x7A8, 0x000, 0x7FF, 0x123])
LONG = st.sampled_from([0x18DB33F1, 0x18DA10F1, 0x18DAF110, 0x18DAF1F1, 0x1FFFFFFF, 0])
PLACES = st.one_of(
    st.builds(place_of, IDS, channel=st.integers(0, 2)),
    st.builds(place_of, LONG, extended=st.just(True), channel=st.integers(0, 2)),
)
BEGINNINGS = "031902FF 0103 0107 010A 020101 020902 0414FFFFFF 0104 0759020F0A9B1724 10135902FF0A9B17 21240AA017240AB0"
MEANT = st.sampled_from(
    [bytes.fromhex(one) for one in f"{BEGINNINGS} 037F1978 037F1922 024300 0144 0154 300000".split()]
)
FRAMES = st.lists(st.tuples(st.floats(0, 100), PLACES, st.one_of(MEANT, st.binary(max_size=9))), max_size=40)


@given(FRAMES)
def test_no_frames_raise_and_every_module_says_what_it_is(frames: list[Row]) -> None:
    """Times may go back; requests and answers come from anywhere."""
    for read in replayed(frames).reads:
        names = [one.module for one in read.modules]
        assert len(names) == len(set(names))
        for one in read.modules:
            assert one.how is How.ANSWERED or one.said
            assert not one.listed or one.how in (How.ANSWERED, How.PARTIAL)
        read.listing("log")
