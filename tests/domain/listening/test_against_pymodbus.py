"""Frames that pymodbus builds, sent one behind the other: the decoder pairs each request with its reply."""

from __future__ import annotations

import pymodbus.pdu.bit_message as bits
import pymodbus.pdu.diag_message as diagnostics
import pymodbus.pdu.mei_message as identification
import pymodbus.pdu.other_message as others
import pymodbus.pdu.register_message as registers
from hypothesis import given, settings
from hypothesis import strategies as st
from pymodbus.framer import FramerRTU
from pymodbus.pdu import DecodePDU, ExceptionResponse, ModbusPDU

from buswalk.domain.listening.decoder import decode_untimed
from tests.fakes.heard_pieces import told

ADDRESSES = st.integers(1, 247)
WORD = st.integers(0, 0xFFFF)
START = st.integers(0, 60_000)

Pair = tuple[ModbusPDU, ModbusPDU]


@st.composite
def _reads(draw: st.DrawFn) -> Pair:
    start, words = draw(START), draw(st.lists(WORD, min_size=1, max_size=125))
    return draw(
        st.sampled_from(
            [
                (
                    registers.ReadHoldingRegistersRequest(address=start, count=len(words)),
                    registers.ReadHoldingRegistersResponse(registers=words),
                ),
                (
                    registers.ReadInputRegistersRequest(address=start, count=len(words)),
                    registers.ReadInputRegistersResponse(registers=words),
                ),
            ]
        )
    )


@st.composite
def _bits(draw: st.DrawFn) -> Pair:
    start, states = draw(START), draw(st.lists(st.booleans(), min_size=1, max_size=2000))
    return (
        bits.ReadCoilsRequest(address=start, count=len(states)),
        bits.ReadCoilsResponse(bits=states),
    )


@st.composite
def _writes(draw: st.DrawFn) -> Pair:
    start, words = draw(START), draw(st.lists(WORD, min_size=1, max_size=123))
    return draw(
        st.sampled_from(
            [
                (
                    registers.WriteMultipleRegistersRequest(address=start, registers=words),
                    registers.WriteMultipleRegistersResponse(address=start, count=len(words)),
                ),
                (
                    registers.WriteSingleRegisterRequest(address=start, registers=words[:1]),
                    registers.WriteSingleRegisterResponse(address=start, registers=words[:1]),
                ),
                (
                    registers.MaskWriteRegisterRequest(address=start, and_mask=words[0], or_mask=words[-1]),
                    registers.MaskWriteRegisterResponse(address=start, and_mask=words[0], or_mask=words[-1]),
                ),
                (
                    bits.WriteSingleCoilRequest(address=start, bits=[True]),
                    bits.WriteSingleCoilResponse(address=start, bits=[True]),
                ),
            ]
        )
    )


@st.composite
def _others(draw: st.DrawFn) -> Pair:
    text = draw(st.binary(min_size=1, max_size=40))
    return draw(
        st.sampled_from(
            [
                (others.ReportDeviceIdRequest(), others.ReportDeviceIdResponse(identifier=text)),
                (others.ReadExceptionStatusRequest(), others.ReadExceptionStatusResponse(status=text[0])),
                (
                    identification.ReadDeviceInformationRequest(read_code=1, object_id=0),
                    identification.ReadDeviceInformationResponse(read_code=1, information={0: text, 1: b"1"}),
                ),
                (
                    registers.ReadHoldingRegistersRequest(address=0, count=1),
                    ExceptionResponse(0x03, exception_code=1 + text[0] % 4),
                ),
                (
                    diagnostics.ReturnQueryDataRequest(message=0x1234),
                    diagnostics.ReturnQueryDataResponse(message=0x1234),
                ),
            ]
        )
    )


PAIRS = st.one_of(_reads(), _bits(), _writes(), _others())


def built(pdu: ModbusPDU, server_address: int) -> bytes:
    pdu.dev_id = server_address
    return FramerRTU(DecodePDU(is_server=False)).buildFrame(pdu)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(ADDRESSES, PAIRS), min_size=1, max_size=6))
def test_each_request_is_paired_with_its_reply(exchanges: list[tuple[int, Pair]]) -> None:
    frames = [(built(request, address), built(reply, address)) for address, (request, reply) in exchanges]

    pieces = decode_untimed(b"".join(request + reply for request, reply in frames))

    assert told(pieces) == [f"{request.hex()} > {reply.hex()} exact" for request, reply in frames]
