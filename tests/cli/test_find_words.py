"""What a field engineer reads of a search."""

from __future__ import annotations

import pytest

from buswalk.bus.lasting_search import LastingSearchEvent, PortBack, PortGone
from buswalk.cli.find_words import (
    duration_words,
    event_lines,
    port_lines,
    shares_words,
    stays_away_words,
    try_next_words,
)
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.functions.read_device_identification import IdentificationObject
from buswalk.domain.search.answer_shares import AnswerShares
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    Doubt,
    EverythingIsAnswered,
    Found,
    FramingNotCarried,
    HeldStill,
    Identity,
    LineChatters,
    ListenedFirst,
    PassBegan,
    SearchEnd,
    SearchEnded,
    SearchForecast,
    SearchPlan,
    SearchProgress,
    SettingsNotCarried,
    SilentAskedWith,
    TwoStopBitsLearnt,
    Unclear,
    Verdict,
)
from buswalk.domain.search.next_search import NextSearch
from buswalk.domain.search.prior import settings_at
from buswalk.domain.search.thorough import Pass
from buswalk.jobs.searching.search_words import all_asked_words

EVEN = SerialSettings.of(9600, "8E1")
NONE = SerialSettings.of(9600, "8N2")


SILENT_OF_ITSELF = Identity()


def found(identity: Identity = SILENT_OF_ITSELF, *doubts: Doubt) -> Found:
    return Found(
        server_address=37,
        settings=NONE,
        function=3,
        is_refusal=False,
        answered=2,
        confirmations=2,
        doubts=doubts,
        identity=identity,
        exchange_numbers=(1, 2, 3),
    )


@pytest.mark.parametrize(
    ("event", "line"),
    [
        (
            ListenedFirst(NONE, 10.0, Verdict.SILENT, 0),
            "listened for 10 s at 9600 8N2: no client with a period under 10 s",
        ),
        (ListenedFirst(NONE, 10.0, Verdict.BABBLE, 3), "listened for 10 s at 9600 8N2: 3 bytes came"),
        (HeldStill(NONE, (4,)), "bytes came that no request explains: 1 address is asked again"),
        (HeldStill(NONE, (4, 5)), "bytes came that no request explains: 2 addresses are asked again, one by one"),
        (
            SettingsNotCarried(NONE),
            "nobody follows the speed of this port: only 9600 8N2 is asked, whatever the line really runs at",
        ),
        (
            FramingNotCarried((NONE, SerialSettings.of(19200, "8E1"))),
            "this port carries speed but no framing: one framing a speed is asked (9600 8N2, 19200 8E1)",
        ),
        (
            AskedRested(NONE, 1, 0.5, 130.0),
            "nothing answered: 1 address once more at 9600 no parity, each after 0.5 s of rest, which takes 2:10 min; "
            "some devices need it",
        ),
        (
            SearchForecast(0, 0.27, 5.2, 26.0, 489.5),
            "a device alone is found within 0.27 s in half of all cases, 5 s in 8 of 10, 26 s in 9 of 10; "
            "asking all takes 8:09 min",
        ),
        (
            TwoStopBitsLearnt(is_sent=True, shown_by=37),
            "address 37 shows that the adapter sends two stop bits: one request reaches two framings",
        ),
        (
            TwoStopBitsLearnt(is_sent=False, shown_by=37),
            "address 37 shows that the adapter sends one stop bit only: each framing is asked by itself",
        ),
        (
            SilentAskedWith((1, 3), (NONE, EVEN), (5, 7)),
            "2 addresses were silent at 9600 no parity, 9600 8E1, asked with 01 and 03",
        ),
        (SilentAskedWith((1, 3, 4), (EVEN,), (5, 7)), "2 addresses were silent at 9600 8E1, asked with 01, 03 and 04"),
        (SilentAskedWith((), (EVEN,), (5,)), "1 address was not asked at 9600 8E1"),
        (Unclear(9, EVEN, "damaged each time", ()), "   9  9600 8E1         unclear: damaged each time"),
        (found(), "  37  9600 no parity   function 03"),
        (
            found(Identity((IdentificationObject(0, b"Example Co"), IdentificationObject(1, b"T-1")))),
            "  37  9600 no parity   function 03   Example Co T-1",
        ),
        (found(Identity((), b"T-1\xff")), "  37  9600 no parity   function 03   T-1"),
        (
            found(SILENT_OF_ITSELF, Doubt.SECOND_ANSWER),
            "  37  9600 no parity   function 03   "
            "in doubt: a second answer follows: perhaps two devices at this address",
        ),
        (
            AnswersEverywhere(NONE, (1, 173), 1, 0),
            "at 9600 no parity something answers at every address (1, 173 tried, after 1 request): "
            "one device or program that ignores the address, not 247 devices",
        ),
        (
            AnswersEverywhere(NONE, (1, 173), 7, 0x0B),
            "at 9600 no parity a gateway refuses with 0B at every address (1, 173 tried, after 7 requests): "
            "what answers otherwise is behind it",
        ),
        (
            AdapterHearsItself(NONE),
            "this adapter hears itself: each request comes back, and is taken off before its answer",
        ),
        (
            LineChatters(NONE, 31.5, 6),
            "the line chatters: bytes that are no reply followed each of 6 requests in 32 s; "
            "asked on with short waits, given up if not one is followed by silence",
        ),
        (
            EverythingIsAnswered(NONE),
            "somebody answers whatever is sent at 9600 no parity: bytes follow every request, none come while nothing "
            "is asked; only whole right replies count there",
        ),
        (PassBegan(9600, Pass.SECOND), "at 9600 baud: second pass, with another wait"),
    ],
)
def test_each_event_is_one_line(event: LastingSearchEvent, line: str) -> None:
    assert event_lines(event) == [line]


def test_progress_and_the_port_have_their_own_places() -> None:
    assert (
        event_lines(SearchProgress(1, 2, NONE, 300.0))
        == event_lines(SearchForecast(200, 1.0, 2.0, 3.0, 4.0))
        == event_lines(PortGone("x", 1.0))
        == event_lines(PortBack(1.0))
        == []
    )


@pytest.mark.parametrize(
    ("devices", "asked", "head"),
    [
        (0, 1, "0 devices answer; 1 request in 5 s"),
        (1, 247, "1 device answers; 247 requests in 5 s"),
        (2, 9, "2 devices answer; 9 requests in 5 s"),
    ],
)
def test_the_end_counts_and_says_what_stays_open(devices: int, asked: int, head: str) -> None:
    lines = event_lines(SearchEnded(SearchEnd.ALL_ASKED, asked, devices, 5.0, "all was asked"))

    assert lines == [head, "All was asked."]


def test_what_a_search_can_miss_is_said() -> None:
    """Off or cut off, of other functions, slower than the wait, or still finding the speed by itself."""
    sentence = all_asked_words(0.060, is_restless=False, given_up=0)

    for reason in ("is off or cut off", "knows none of them", "longer than 60 ms", "looks for the speed by itself"):
        assert reason in sentence
    assert "at 1 setting asking" in all_asked_words(0.060, is_restless=False, given_up=1)


def test_a_lost_port_is_told_with_how_long_it_is_waited_for() -> None:
    assert port_lines(PortGone("COM7 is gone: plug the adapter in again", 60.0), "COM7") == [
        "COM7 is gone: plug the adapter in again; what was found so far stands, "
        "waiting up to 60 s for it to come back (Ctrl-C ends it)"
    ]
    assert port_lines(PortGone("COM7 is gone", 0.0), "COM7") == []
    assert port_lines(PortBack(12.0), "COM7") == ["COM7 is back after 12 s: the search goes on, and asks nothing twice"]


@pytest.mark.parametrize(
    ("found_before", "words"), [(0, "nothing was found before"), (1, "1 device found before"), (3, "3 devices found")]
)
def test_the_end_without_a_port_says_what_was_found(found_before: int, words: str) -> None:
    assert words in stays_away_words("COM7 is gone", 60.0, found_before)


@pytest.mark.parametrize(
    ("seconds", "words"), [(0.5, "0.5 s"), (8.2, "8 s"), (119.0, "119 s"), (120.0, "2:00 min"), (3725.0, "62:05 min")]
)
def test_durations_are_short(seconds: float, words: str) -> None:
    assert duration_words(seconds) == words


def test_where_two_were_suspected_the_counts_stand_behind_the_doubt() -> None:
    shares = AnswerShares(asked=8, whole=3, damaged=5, second=1, turnarounds_s=(0.012, 0.048))

    assert shares_words(shares) == (
        "of 8 more: 3 whole, 5 damaged, 1 with a second answer behind; turnaround 12 and 48 ms"
    )
    assert shares_words(AnswerShares(asked=8)) == "of 8 more: none answered"
    assert "turnaround" not in shares_words(AnswerShares(8, 8, 0, 0, (0.01,)))


def test_what_to_try_next_can_be_typed_as_it_stands() -> None:
    plan = SearchPlan((1, 2), settings_at((9600,), tuple(Parity)))

    assert try_next_words(NextSearch(plan, (9600,), 2038.0)) == (
        "Try next: --thorough --settings '9600 8N1,9600 8E1,9600 8O1', 33:58 min."
    )
