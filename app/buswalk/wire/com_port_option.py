"""The client's side of the Telnet Com Port Control Option (RFC 2217) as a pure machine: bytes in, bytes out.

Each command is confirmed by the server with its number + 100 and the value it has taken, which may be another one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from buswalk.domain.line.arrival import LineMark
from buswalk.domain.line.serial_settings import Parity, SerialSettings

IAC, DONT, DO, WONT, WILL, SB, SE = 0xFF, 0xFE, 0xFD, 0xFC, 0xFB, 0xFA, 0xF0
BINARY, ECHO_OPTION, SUPPRESS_GO_AHEAD, COM_PORT = 0x00, 0x01, 0x03, 0x2C
OFFERS = ((WILL, COM_PORT), (DO, SUPPRESS_GO_AHEAD), (WILL, BINARY), (DO, BINARY))
ANSWERS = {WILL: DO, DO: WILL}
SERVER_OFFSET = 100
BAUD_RATE_BYTES = 4
LONGEST_SEQUENCE = 4096
"""The longest command here is a server's text about itself; so much of one is not held back for its end."""
WANTED_LINE_STATES = 2 + 4 + 8 + 16
LINE_STATE_MARKS = (
    (2, LineMark.OVERRUN),
    (4, LineMark.PARITY_ERROR),
    (8, LineMark.FRAMING_ERROR),
    (16, LineMark.BREAK),
)


class Command(IntEnum):
    """Commands used here (RFC 2217; numbers checked against the constants of a reference library)."""

    SET_BAUD_RATE = 1
    SET_DATA_SIZE = 2
    SET_PARITY = 3
    SET_STOP_SIZE = 4
    SET_CONTROL = 5
    NOTIFY_LINE_STATE = 6
    SET_LINE_STATE_MASK = 10
    PURGE_DATA = 12


class Control(IntEnum):
    """Values of SET_CONTROL."""

    NO_FLOW_CONTROL = 1
    DTR_ON = 8
    DTR_OFF = 9
    RTS_ON = 11
    RTS_OFF = 12


PURGE_BOTH = 3
PARITY_CODES = {Parity.NONE: 1, Parity.ODD: 2, Parity.EVEN: 3}


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The server has taken a value."""

    command: int
    value: int


@dataclass(frozen=True, slots=True)
class Taken:
    """What a piece of the stream held: line bytes, confirmations, marks, and what must be answered at once."""

    data: bytes
    confirmed: tuple[Confirmed, ...]
    marks: tuple[LineMark, ...]
    answer: bytes


def command_bytes(command: Command, value: bytes) -> bytes:
    """Return the subnegotiation; a byte FF inside is doubled: 19200 baud is `FF FA 2C 01 00 00 4B 00 FF F0`."""
    return bytes((IAC, SB, COM_PORT, command)) + escaped(value) + bytes((IAC, SE))


def escaped(data: bytes) -> bytes:
    """Return line bytes as they pass through Telnet."""
    return data.replace(b"\xff", b"\xff\xff")


def opening_bytes() -> bytes:
    """Return the offers with which a client begins."""
    return b"".join(bytes((IAC, verb, option)) for verb, option in OFFERS)


def settings_commands(settings: SerialSettings) -> dict[Command, bytes]:
    """Return the four commands that set speed and framing, in order."""
    return {
        Command.SET_BAUD_RATE: settings.baud_rate.to_bytes(4, "big"),
        Command.SET_DATA_SIZE: bytes((settings.data_bits,)),
        Command.SET_PARITY: bytes((PARITY_CODES[settings.parity],)),
        Command.SET_STOP_SIZE: bytes((settings.stop_bits,)),
    }


def preparing_commands(*, dtr: bool, rts: bool) -> bytes:
    """Return what is sent once after agreement: line states wanted, no flow control, two wires, empty queues.

    Not all servers confirm these, so nobody waits for it.
    """
    controls = (
        Control.NO_FLOW_CONTROL,
        Control.DTR_ON if dtr else Control.DTR_OFF,
        Control.RTS_ON if rts else Control.RTS_OFF,
    )
    commands = (
        command_bytes(Command.SET_LINE_STATE_MASK, bytes((WANTED_LINE_STATES,))),
        *(command_bytes(Command.SET_CONTROL, bytes((control,))) for control in controls),
        command_bytes(Command.PURGE_DATA, bytes((PURGE_BOTH,))),
    )
    return b"".join(commands)


class ComPortClient:
    """Takes the stream apart; safe at every cut."""

    def __init__(self) -> None:
        self._held = b""
        # What our offers will be answered with: to answer that again would begin a dispute without end.
        self._agreed = {(ANSWERS[verb], option) for verb, option in OFFERS}
        self.is_accepted = False
        self.is_refused = False

    def feed(self, stream: bytes) -> Taken:
        """Return what is complete."""
        stream = self._held + stream
        self._held = b""
        data, answer = bytearray(), bytearray()
        confirmed: list[Confirmed] = []
        marks: list[LineMark] = []
        at = 0
        while at < len(stream):
            if stream[at] != IAC:
                data.append(stream[at])
                at += 1
                continue
            length = _sequence_length(stream, at)
            if length == 0 and len(stream) - at > LONGEST_SEQUENCE:
                # Whoever sends this speaks no Telnet, or lost the end: what follows is kept as line bytes.
                at += 2
                continue
            if length == 0:
                self._held = stream[at:]
                break
            sequence = stream[at : at + length]
            at += length
            if sequence == b"\xff\xff":
                data.append(IAC)
            elif sequence[1] == SB:
                _subnegotiation(sequence, confirmed, marks)
            elif length == 3:
                answer += self._negotiated(sequence[1], sequence[2])
        return Taken(bytes(data), tuple(confirmed), tuple(marks), bytes(answer))

    def _negotiated(self, verb: int, option: int) -> bytes:
        if option == COM_PORT:
            self.is_accepted = self.is_accepted or verb in (DO, WILL)
            self.is_refused = self.is_refused or verb == DONT
        known = option in (BINARY, SUPPRESS_GO_AHEAD, COM_PORT)
        if (verb, option) in self._agreed:
            return b""
        self._agreed.add((verb, option))
        if verb == WILL:
            return bytes((IAC, DO if known else DONT, option))
        if verb == DO:
            return bytes((IAC, WILL if known else WONT, option))
        return b""


def _sequence_length(stream: bytes, at: int) -> int:
    """Return the length of the Telnet sequence at a place; 0 if it has not come in full."""
    if at + 1 >= len(stream):
        return 0
    second = stream[at + 1]
    if second == SB:
        end = at + 2
        while True:
            end = stream.find(IAC, end)
            if end < 0 or end + 1 >= len(stream):
                return 0
            if stream[end + 1] == SE:
                return end + 2 - at
            end += 2
    if second in (WILL, WONT, DO, DONT):
        return 3 if at + 2 < len(stream) else 0
    return 2


def _subnegotiation(sequence: bytes, confirmed: list[Confirmed], marks: list[LineMark]) -> None:
    body = sequence[2:-2].replace(b"\xff\xff", b"\xff")
    if len(body) < 3 or body[0] != COM_PORT:
        return
    command = body[1] - SERVER_OFFSET
    # Some servers send more zeros behind the value than belong to it.
    size = BAUD_RATE_BYTES if command == Command.SET_BAUD_RATE else 1
    value = int.from_bytes(body[2 : 2 + size], "big")
    if command == Command.NOTIFY_LINE_STATE:
        marks.extend(mark for bit, mark in LINE_STATE_MARKS if value & bit)
    elif command > 0:
        confirmed.append(Confirmed(command, value))
