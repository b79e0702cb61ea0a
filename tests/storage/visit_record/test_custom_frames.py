"""Bytes of one's own come back from a record as they were sent, with what came of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.custom_frame import CustomFrame, CustomReply
from buswalk.domain.modbus.outcome import ExceptionReply, NoReply, NormalReply, Outcome
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.every_event import STARTED, exchange

REPLY = closed(bytes.fromhex("25 41 07"))
REFUSAL = closed(bytes.fromhex("25 C1 01"))
FRAMES = (
    closed(bytes.fromhex("25 41 01 02")),  # a function that the standard leaves to makers
    bytes.fromhex("25 03 00 00 00 02 00 00"),  # a read with a wrong check sum
    closed(bytes.fromhex("25 03 00 00 00 00")),  # a read of nothing
    closed(bytes.fromhex("25 80")),
)


@pytest.mark.parametrize("frame", FRAMES, ids=lambda one: one.hex())
@pytest.mark.parametrize(
    "outcome",
    [NoReply(1.0), NormalReply(REPLY, CustomReply(REPLY[1:-2])), ExceptionReply(REFUSAL, 1)],
    ids=lambda one: type(one).__name__,
)
def test_a_custom_frame_is_read_back_as_it_was(tmp_path: Path, frame: bytes, outcome: Outcome) -> None:
    path = tmp_path / "own.buswalk.sqlite"
    sent = replace(exchange(1, outcome), request=CustomFrame(frame), request_adu=frame)
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    recorder.keep(ExchangeDone(sent), 2.0)
    recorder.close()

    reader = open_record(path)
    read = reader.exchange(1)

    assert read is not None
    assert read.exchange == sent
    assert reader.problems() == ()
