"""The server side of the Com Port Control Option (RFC 2217), a pure machine. It shares nothing with the client side."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from simulated_line.attachments.peer import Act, Apply, PurgeReceived, PurgeWaiting, Send

IAC, DONT, DO, WONT, WILL, SB, SE = 255, 254, 253, 252, 251, 250, 240
COM_PORT = 44
KNOWN_OPTIONS = (0, 3, COM_PORT)
PARITIES = {1: Parity.NONE, 2: Parity.ODD, 3: Parity.EVEN}
SIGNATURE = b"simulated line"
_PURGES: dict[bytes, tuple[Act, ...]] = {
    bytes((COM_PORT, 12, 1)): (PurgeReceived(),),
    bytes((COM_PORT, 12, 2)): (PurgeWaiting(),),
    bytes((COM_PORT, 12, 3)): (PurgeReceived(), PurgeWaiting()),
}
"""PURGE-DATA: 1 what was received, 2 what waits to be sent, 3 both (RFC 2217, section 3)."""


@dataclass(slots=True)
class ServerSide:
    """What a client has set, and the stream to and from it."""

    settings: SerialSettings
    line_state_mask: int = 0
    _held: bytes = b""
    _told: set[tuple[int, int]] = field(default_factory=set)

    def feed(self, stream: bytes) -> tuple[tuple[Act, ...], bytes]:
        """Take a piece of the stream; return what the client did, in order, and bytes to answer."""
        stream = self._held + stream
        self._held = b""
        acts: list[Act] = []
        for_line, answer = bytearray(), bytearray()
        at = 0
        while at < len(stream):
            if stream[at] != IAC:
                for_line.append(stream[at])
                at += 1
                continue
            end = _end_of_sequence(stream, at)
            if end < 0:
                self._held = stream[at:]
                break
            verb = stream[at + 1]
            if verb == IAC:
                for_line.append(IAC)
            elif verb == SB:
                body = stream[at + 2 : end - 2].replace(b"\xff\xff", b"\xff")
                before = self.settings
                answer += self._command(body)
                done = _PURGES.get(body, ()) if self.settings == before else (Apply(self.settings),)
                if done:
                    acts += _sending(for_line)
                    acts += done
                    for_line.clear()
            elif verb in (WILL, DO):
                answer += self._agree(verb, stream[at + 2])
            at = end
        return (*acts, *_sending(for_line)), bytes(answer)

    def to_client(self, data: bytes) -> bytes:
        """Return line bytes as they go through Telnet."""
        return data.replace(b"\xff", b"\xff\xff")

    def line_state(self, bits: int) -> bytes:
        """Return a notification of line errors, if the client has asked for these."""
        wanted = bits & self.line_state_mask
        return _reply(106, bytes((wanted,))) if wanted else b""

    def _agree(self, verb: int, option: int) -> bytes:
        if (verb, option) in self._told:
            return b""
        self._told.add((verb, option))
        known = option in KNOWN_OPTIONS
        if verb == WILL:
            return bytes((IAC, DO if known else DONT, option))
        return bytes((IAC, WILL if known else WONT, option))

    def _command(self, body: bytes) -> bytes:
        if len(body) < 2 or body[0] != COM_PORT:
            return b""
        command, value = body[1], body[2:]
        match command:
            case 0:
                return _reply(100, SIGNATURE)
            case 1:
                return self._speed(value)
            case 2 | 3 | 4:
                return self._framing(command, value)
            case 10:
                self.line_state_mask = value[0] if value else 0
            case _:
                pass
        return _reply(command + 100, value)

    def _speed(self, value: bytes) -> bytes:
        asked = int.from_bytes(value, "big")
        if asked:
            try:
                now = self.settings
                self.settings = SerialSettings(asked, now.parity, now.stop_bits, now.data_bits)
            except ValueError:
                pass
        return _reply(101, self.settings.baud_rate.to_bytes(4, "big"))

    def _framing(self, command: int, value: bytes) -> bytes:
        asked, now = (value[0] if value else 0), self.settings
        if command == 2:
            if asked in (7, 8):
                self.settings = SerialSettings(now.baud_rate, now.parity, now.stop_bits, asked)
            return _reply(102, bytes((self.settings.data_bits,)))
        if command == 3:
            if asked in PARITIES:
                self.settings = SerialSettings(now.baud_rate, PARITIES[asked], now.stop_bits, now.data_bits)
            codes = {parity: code for code, parity in PARITIES.items()}
            return _reply(103, bytes((codes[self.settings.parity],)))
        if asked in (1, 2):
            self.settings = SerialSettings(now.baud_rate, now.parity, asked, now.data_bits)
        return _reply(104, bytes((self.settings.stop_bits,)))


def _sending(data: bytearray) -> tuple[Act, ...]:
    return (Send(bytes(data)),) if data else ()


def _reply(number: int, value: bytes) -> bytes:
    return bytes((IAC, SB, COM_PORT, number)) + value.replace(b"\xff", b"\xff\xff") + bytes((IAC, SE))


def _end_of_sequence(stream: bytes, at: int) -> int:
    """Return the offset behind a Telnet sequence; -1 if it has not come in full."""
    if at + 1 >= len(stream):
        return -1
    verb = stream[at + 1]
    if verb == SB:
        look = at + 2
        while look + 1 < len(stream):
            if stream[look] == IAC and stream[look + 1] == SE:
                return look + 2
            look += 2 if stream[look] == IAC else 1
        return -1
    if verb in (WILL, WONT, DO, DONT):
        return at + 3 if at + 2 < len(stream) else -1
    return at + 2
