"""Bytes of one's own on the page Registers: what they would be, what is wrong with them, the exchange that came.

Frames are written out by hand; the CRC of `0B 03 00 00 00 01` was computed with the reference codec of the simulated
line, which shares no code with the program.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.bus.messages import Refused
from buswalk.bus.write_messages import SendFrame
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.custom_frame import CheckSum, request_in
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import NoReply
from buswalk.ui.pages.registers.frame_form import FrameForm
from buswalk.ui.pages.registers.frame_state import FrameState
from buswalk.ui.pages.registers.registers_state import RegistersFace
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.registers_stage import OPEN, told
from tests.fakes.told_line import USUAL, kept
from tests.ui.pages.registers.registers_bench import Page

READ = "0B 03 00 00 00 01"
READ_FRAME = closed(bytes.fromhex(READ))
BYTES_FACE = list(RegistersFace).index(RegistersFace.BYTES)


def opened(*items: object) -> Page:
    page = Page([*told(), OPEN, *items])  # type: ignore[list-item]
    page.presenter.show_face(BYTES_FACE)
    return page


def frame(page: Page) -> FrameState:
    return page.presenter.state.other.frame


def sent(page: Page, text: str, check_sum: CheckSum = CheckSum.RIGHT, wait: str = "1") -> Page:
    page.presenter.change_frame(FrameForm(text, check_sum, wait))
    page.presenter.send_frame()
    return page


def silent(adu: bytes) -> Exchange:
    """The bytes left, and nothing came."""
    exchange = ExchangeMaker(20.0).made(adu[0], NoReply(1.0))
    return replace(exchange, request=request_in(adu), request_adu=adu)


def test_the_check_sum_is_appended_right() -> None:
    page = sent(opened(), READ)

    assert page.commands.of(SendFrame) == [SendFrame(READ_FRAME, USUAL, 1.0, "")]
    assert frame(page).leaves == READ_FRAME.hex(" ").upper()
    assert frame(page).meaning == "To 11: function 03, read holding registers; CRC right; at 9600 8N1."


def test_the_check_sum_is_wrong_on_purpose() -> None:
    """Every bit of it is turned."""
    page = sent(opened(), READ, CheckSum.WRONG)

    (command,) = page.commands.of(SendFrame)
    assert command.frame[:-2] == READ_FRAME[:-2]
    assert bytes(byte ^ 0xFF for byte in command.frame[-2:]) == READ_FRAME[-2:]
    assert "CRC wrong" in frame(page).meaning


def test_bytes_leave_as_typed_however_they_are_parted() -> None:
    page = sent(opened(), "0x0B,03;0000 0001 12 34", CheckSum.AS_TYPED, "0,5")

    assert page.commands.of(SendFrame) == [SendFrame(bytes.fromhex("0B 03 00 00 00 01 12 34"), USUAL, 0.5, "")]


@pytest.mark.parametrize(
    ("text", "check_sum", "wait", "said"),
    [
        ("", CheckSum.RIGHT, "1", "Bytes: nothing is typed yet; write address, function, data in hex"),
        ("0B 3 00", CheckSum.RIGHT, "1", "Bytes: number 2, '3', is no byte; write two hex figures each, such as 0B."),
        ("0B G3", CheckSum.RIGHT, "1", "Bytes: number 2, 'G3', is no byte"),
        ("0B", CheckSum.RIGHT, "1", "Bytes: 1 are too few for a frame; write address and function at least."),
        ("0B 03 01", CheckSum.AS_TYPED, "1", "Bytes: 3 are too few for a frame; write address, function and the two"),
        ("00 " * 255, CheckSum.RIGHT, "1", "Bytes: 255 are more than a frame can have; write 254 at most."),
        (READ, CheckSum.RIGHT, "0", "Wait: '0' cannot be; write seconds above 0 and up to 60."),
        (READ, CheckSum.RIGHT, "soon", "Wait: 'soon' cannot be"),
        (READ, CheckSum.RIGHT, "nan", "Wait: 'nan' cannot be"),
    ],
)
def test_bad_input_is_told_in_one_sentence_and_nothing_leaves(
    text: str, check_sum: CheckSum, wait: str, said: str
) -> None:
    page = sent(opened(), text, check_sum, wait)

    assert page.commands.of(SendFrame) == []
    assert frame(page).told.startswith(said)
    assert frame(page).meaning.startswith(said)


def test_nothing_leaves_while_writing_is_locked() -> None:
    page = Page(told())
    page.presenter.show_face(BYTES_FACE)

    sent(page, READ)

    assert page.commands.of(SendFrame) == []
    assert "locked" in frame(page).refusal
    assert "cannot be put back" in frame(page).cautions[0]
    assert "local rules" in frame(page).cautions[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("00 06 00 00 00 01", "all devices"),
        ("0B 08 00 04 00 00", "silence"),
        ("0B 08 00 0A 00 00", "counters"),
        ("0B 08", "silence"),
    ],
    ids=["broadcast", "listen only (08 sub 04)", "clear counters (08 sub 0A)", "no sub-function"],
)
def test_what_goes_to_all_or_disturbs_needs_a_second_confirmation(text: str, words: str) -> None:
    """Application V1.1b3, 6.8: 04 forces listen only mode, 0A clears counters."""
    page = sent(opened(), text)
    assert page.commands.of(SendFrame) == []
    assert words in frame(page).confirm

    page.presenter.confirm_frame(is_confirmed=True)
    page.presenter.send_frame()

    assert [one.second_confirmation for one in page.commands.of(SendFrame)] == [frame(page).confirm]
    assert not frame(page).is_confirmed


def test_another_frame_needs_its_own_confirmation() -> None:
    page = opened()
    page.presenter.change_frame(FrameForm("00 06 00 00 00 01"))
    page.presenter.confirm_frame(is_confirmed=True)

    page.presenter.change_frame(FrameForm("00 06 00 00 00 02"))

    assert not frame(page).is_confirmed


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0B 41 01", "function 41, not of the standard"),
        ("0B 03 00", "read holding registers, content of its own"),
        ("F9 03 00 00 00 01", "To 249, which is no server's"),
    ],
)
def test_what_is_not_of_the_standard_is_said(text: str, said: str) -> None:
    page = opened()

    page.presenter.change_frame(FrameForm(text))

    assert said in frame(page).meaning


def test_the_exchange_is_shown_byte_by_byte_and_can_be_typed_again() -> None:
    page = sent(opened(), READ, CheckSum.WRONG)
    (command,) = page.commands.of(SendFrame)

    page.take(kept(ExchangeDone(silent(command.frame))))

    exchange = frame(page).exchange
    assert exchange is not None
    assert [box.words for box in exchange.rows[0].boxes] == command.frame.hex(" ").upper().split()
    assert exchange.title.endswith("11, no reply")
    assert exchange.rows[1].beside[0].words.endswith("none is due: the CRC that was sent is wrong")
    assert frame(page).told == ""
    page.presenter.change_frame(FrameForm(""))
    page.presenter.type_again(0)
    assert (frame(page).typed, frame(page).check_sum) == (command.frame.hex(" ").upper(), 2)


def test_exchanges_of_others_are_not_taken_for_the_answer() -> None:
    page = sent(opened(), READ)

    page.take(kept(ExchangeDone(ExchangeMaker(20.0).made(21, NoReply(1.0)))))

    assert frame(page).exchange is None
    assert frame(page).told == "Sent, a reply is waited for…"


def test_a_refusal_of_the_bus_process_is_told_here_too() -> None:
    page = sent(opened(), READ)

    page.take([Refused(len(page.commands.sent), "a job is running (search): stop it first")])

    assert frame(page).told == "Not sent: a job is running (search): stop it first."
