"""Any exchange, with any bytes, marks and times, is read back as it was; any damage is a sentence."""

from __future__ import annotations

import random
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.arrival import Arrival, ByteMark, CountedMarks, LineMark
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange, NoTurnaround, Turnaround
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.observation import BytesAfter, MarksSeen, PauseInside
from buswalk.domain.modbus.outcome import CorruptReply, NoReply, ShortReply, Stopped
from buswalk.domain.record_export import ExportKind, Unreadable, export_lines
from buswalk.domain.record_reader import ExchangePage, RecordReader
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.answering_line import with_check_sum
from tests.fakes.every_event import EVERY_EVENT, STARTED, exchange

NS = 1_000_000_000
A_DAY_NS = 86_400 * NS
times_ns = st.integers(0, A_DAY_NS)
some_bytes = st.binary(min_size=1, max_size=300)
line_marks = st.sampled_from(LineMark)


@st.composite
def arrivals(draw: st.DrawFn) -> Arrival:
    data = draw(st.binary(max_size=260))
    low, high = sorted((draw(times_ns), draw(times_ns)))
    counted = st.builds(CountedMarks, st.integers(1, 99), line_marks)
    marks = draw(st.lists(counted, min_size=0 if data else 1, max_size=3))
    of_bytes = draw(st.lists(st.integers(0, len(data) - 1), max_size=3)) if data else []
    return Arrival(data, (*(ByteMark(at, draw(line_marks)) for at in of_bytes), *marks), low / NS, high / NS)


@st.composite
def exchanges(draw: st.DrawFn) -> Exchange:
    begin, low, high, ended = sorted(draw(times_ns) for _ in range(4))
    address = draw(st.integers(0, 247))
    register = draw(st.integers(0, 65_000))
    turnaround = st.builds(Turnaround, *(times_ns.map(lambda one: (one - NS) / NS) for _ in range(2)))
    observation = st.one_of(
        st.builds(BytesAfter, some_bytes),
        st.builds(PauseInside, st.integers(0, 255), times_ns.map(lambda one: one / NS)),
        st.builds(MarksSeen, st.tuples(st.builds(CountedMarks, st.integers(1, 9), line_marks))),
    )
    return Exchange(
        number=draw(st.integers(1, 2_000_000_000)),
        server_address=address,
        request=ReadHoldingRegisters(register, 2),
        request_adu=with_check_sum(bytes((address, 3)) + register.to_bytes(2, "big") + b"\x00\x02"),
        settings=SerialSettings.of(draw(st.integers(50, 4_000_000)), draw(st.sampled_from(("8N1", "8E1", "7O2")))),
        sent=Sent(begin / NS, low / NS, high / NS),
        arrivals=tuple(draw(st.lists(arrivals(), max_size=4))),
        ended_s=ended / NS,
        outcome=draw(
            st.one_of(
                st.builds(NoReply, times_ns.map(lambda one: one / NS)),
                st.builds(CorruptReply, some_bytes, st.integers(4, 256)),
                st.builds(ShortReply, some_bytes, st.integers(4, 256)),
                st.builds(Stopped, st.binary(max_size=9)),
            )
        ),
        observations=tuple(draw(st.lists(observation, max_size=3))),
        turnaround=draw(st.one_of(st.builds(NoTurnaround), turnaround)),
    )


@given(one=exchanges())
@settings(max_examples=60)
def test_any_exchange_is_read_back_as_it_was(tmp_path_factory: pytest.TempPathFactory, one: Exchange) -> None:
    path = tmp_path_factory.mktemp("any") / "visit.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    recorder.keep(ExchangeDone(one), one.ended_s)
    recorder.close()

    with closing(open_record(path)) as reader:
        read = reader.exchange(one.number)

        assert read is not None and read.exchange == one
        assert [kept.event for kept in reader.events(2, 1)] == [ExchangeDone(one)]


def read_everything(reader: RecordReader) -> None:
    reader.problems()
    reader.exchanges(ExchangePage(0, 100))
    for lines in ExportKind:
        for _ in export_lines(reader, lines, Unreadable()):
            pass
    reader.outcome_counts()
    reader.hour_counts(37)
    reader.findings()
    reader.marks()
    reader.plan()


def changed(folder: Path, seed: int) -> Path:
    """A record with every event, some bytes of its file changed; every fourth seed may change its header too."""
    path = folder / "changed.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=False)
    for number, event in enumerate(EVERY_EVENT):
        recorder.keep(event, float(number))
    recorder.close()
    chance = random.Random(seed)
    data = bytearray(path.read_bytes())
    for _ in range(chance.randrange(1, 200)):
        data[chance.randrange(100 if seed % 4 else 0, len(data))] = chance.randrange(256)
    path.write_bytes(data)
    return path


def is_one_sentence(sentence: str) -> bool:
    return bool(sentence) and "\n" not in sentence


@pytest.mark.parametrize("seed", range(40))
def test_a_record_with_any_bytes_changed_is_read_or_refused_in_a_sentence(tmp_path: Path, seed: int) -> None:
    path = changed(tmp_path, seed)

    try:
        with closing(open_record(path)) as reader:
            read_everything(reader)
    except RecordProblem as problem:
        assert is_one_sentence(problem.sentence)


@pytest.mark.parametrize("seed", range(40))
def test_a_record_with_any_bytes_changed_is_gone_on_in_or_refused_in_a_sentence(tmp_path: Path, seed: int) -> None:
    path = changed(tmp_path, seed)

    try:
        recorder = open_visit_record(path, is_simulated=False)
        with closing(recorder):
            recorder.keep(STARTED, 0.0)
            number = recorder.next_exchange_number
            recorder.keep(ExchangeDone(replace(exchange(1), number=number)), 1.0)
            recorder.settle()
    except RecordProblem as problem:
        assert is_one_sentence(problem.sentence)
