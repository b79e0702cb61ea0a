"""A server device as a station on the pair: it hears frames, decides by its habits, and answers."""

from __future__ import annotations

from random import Random

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from simulated_line.reference_codec.check_sum import check_sum, closed, is_closed_right
from simulated_line.servers.answers import Answerer, Refused, Unanswered
from simulated_line.servers.ascii_mode import ascii_frame, pdu_of_ascii
from simulated_line.servers.automatic_speed import AutomaticSpeed
from simulated_line.servers.device_habits import DeviceHabits, GapCountsFrom, GapReaction, Refusal
from simulated_line.servers.loss_timer import LossTimer
from simulated_line.servers.register_map import RegisterMap
from simulated_line.servers.written_values import Moving, WrittenValues
from simulated_line.station import Appointment, Burst, Heard, Pair, Pause

READY_FROM_START = 0.0
EXCEPTION_BIT = 0x80
BROADCAST = 0


class Device:
    """One server on the line."""

    def __init__(
        self, pair: Pair, name: str, addresses: tuple[int, ...], registers: RegisterMap, habits: DeviceHabits
    ) -> None:
        self._pair = pair
        self._name = name
        self._addresses = addresses
        self._habits = habits
        self._settings = habits.settings
        self._written = WrittenValues(pair, registers, habits, Moving(self._take_address, self._take_settings))
        self._loss = LossTimer(pair, registers, habits.loss)
        self._answerer = Answerer(
            registers, habits.functions, habits.largest_quantity, habits.outside_code, self._written.store
        )
        ways = habits.disobedience
        self._minds_others = bool(ways.drops_reply_when_others_talk or ways.confused_s or ways.refuses_foreign_frames)
        self._is_powered = True
        self._ready_from_s = READY_FROM_START
        self._last_own_end_s = self._last_any_end_s = float("-inf")
        self._unanswered_since_s = float("-inf")
        self._pending: Appointment | None = None
        self._count = 0
        self._seed = 0
        self._automatic = AutomaticSpeed(habits.settings) if habits.automatic_speed else None
        if self._automatic is not None:
            self._schedule_next_speed()

    # What the line sees

    @property
    def name(self) -> str:
        """Unique on the line."""
        return self._name

    @property
    def receiver_settings(self) -> SerialSettings:
        """What its receiver is set to now."""
        return self._automatic.settings if self._automatic is not None else self._settings

    @property
    def is_powered(self) -> bool:
        """Without supply it hears nothing."""
        return self._is_powered

    # What builds and disturbs it

    @property
    def addresses(self) -> tuple[int, ...]:
        """Server addresses it answers to now."""
        return self._addresses

    @property
    def registers(self) -> RegisterMap:
        """Its tables."""
        return self._answerer.registers

    @property
    def answerer(self) -> Answerer:
        """What answers its PDUs."""
        return self._answerer

    def identify_as(self, objects: dict[int, bytes], server_id: bytes) -> None:
        """Give it identification objects (2B/0E) and an ID (11)."""
        self._answerer.identification = objects
        self._answerer.server_id = server_id

    def set_seed(self, seed: int) -> None:
        """Key its random turnarounds."""
        self._seed = seed

    def set_power(self, *, is_on: bool) -> None:
        """Take its supply away or give it back; back, it boots, and values kept for a restart take effect."""
        self._is_powered = is_on
        self._loss.stop()
        if self._pending is not None:
            self._pending.call_off()
        if is_on:
            self._restart()

    def _restart(self) -> None:
        self._ready_from_s = self._pair.now_s() + self._habits.boot_s
        self._answerer.listens_only = False
        self._written.restart()
        self._loss.restart()
        if self._automatic is not None:
            self._automatic.restart()
            self._pair.settings_changed(self)
            self._schedule_next_speed()

    # Hearing

    def heard(self, heard: Heard) -> None:
        """Take a frame's worth of characters."""
        habits = self._habits
        last_any_s, self._last_any_end_s = self._last_any_end_s, heard.ends_s
        if heard.begins_s < self._ready_from_s:
            return
        if self._automatic is not None and not self._automatic.frame(heard.data, is_clean=not any(heard.faults)):
            return
        is_for_me = heard.data[0] in self._addresses or heard.data[0] == BROADCAST
        if not is_for_me and not habits.disobedience.answers_every_address:
            self._foreign(heard)
            return
        if any(heard.faults) and habits.checks_parity:
            self._answerer.counters.communication_errors += 1
            return
        self._request(heard, last_any_s)

    def _foreign(self, heard: Heard) -> None:
        counters = self._answerer.counters
        if not any(heard.faults) and is_closed_right(heard.data):
            counters.bus_messages += 1
        else:
            counters.communication_errors += 1
        if self._minds_others:
            self._mind(heard)

    def _mind(self, heard: Heard) -> None:
        disobedience = self._habits.disobedience
        if disobedience.drops_reply_when_others_talk and self._pending is not None:
            self._pending.call_off()
        if disobedience.confused_s:
            self._unanswered_since_s = heard.ends_s
        if disobedience.refuses_foreign_frames and len(heard.data) >= 2:
            pdu = bytes((heard.data[1] | EXCEPTION_BIT, 0x01))
            self._reply(heard, self._addresses[0], pdu)

    def _request(self, heard: Heard, last_any_s: float) -> None:
        frame = heard.data
        if self._habits.speaks_ascii:
            pdu = pdu_of_ascii(frame)
            if pdu is not None:
                self._loss.asked()
                self._answer(heard, self._addresses[0], pdu)
            return
        if not is_closed_right(frame):
            self._answerer.counters.communication_errors += 1
            return
        if self._comes_too_soon(heard, last_any_s):
            return
        confused_s = self._habits.disobedience.confused_s
        if confused_s and heard.begins_s - self._unanswered_since_s < confused_s:
            return
        counters = self._answerer.counters
        counters.bus_messages += 1
        counters.server_messages += 1
        self._loss.asked()
        self._answer(heard, frame[0], frame[1:-2])

    def _comes_too_soon(self, heard: Heard, last_any_s: float) -> bool:
        habits = self._habits
        if not habits.minimum_gap_s:
            return False
        last_s = self._last_own_end_s
        if habits.gap_counts_from is GapCountsFrom.ANY_FRAME:
            last_s = max(last_s, last_any_s)
        if heard.begins_s - last_s >= habits.minimum_gap_s:
            return False
        if habits.gap_reaction is GapReaction.RESTARTS:
            self._restart()
        return True

    # Answering

    def _answer(self, heard: Heard, address: int, pdu: bytes) -> None:
        reply = self._reply_pdu(pdu)
        is_broadcast = address == BROADCAST and BROADCAST not in self._addresses
        if self._answerer.listens_only or not reply:
            self._answerer.counters.no_responses += 1
            return
        if is_broadcast and not self._habits.disobedience.answers_broadcast:
            self._answerer.counters.no_responses += 1
            return
        answers_as = self._habits.disobedience.answers_as
        own = self._addresses[0] if is_broadcast or address not in self._addresses else address
        if self._habits.disobedience.answers_every_address and not is_broadcast:
            own = address
        self._reply(heard, answers_as or own, reply)

    def _reply_pdu(self, pdu: bytes) -> bytes:
        habits, counters = self._habits, self._answerer.counters
        try:
            if self._answerer.listens_only and pdu[:3] != b"\x08\x00\x01":
                return b""
            if self._pair.now_s() < habits.busy_until_s:
                raise Refused(habits.busy_code)
            reply = self._answerer.answer(pdu, self._pair.now_s())
        except Unanswered:
            return b""
        except Refused as refused:
            counters.exceptions += 1
            how = habits.unknown_function if refused.code == 0x01 else habits.outside_map
            if how is Refusal.SILENCE and refused.code in (0x01, 0x02, 0x03):
                return b""
            return bytes((pdu[0] | EXCEPTION_BIT, refused.code))
        if pdu[0] != 0x0B:
            counters.completed += 1
        if habits.disobedience.byte_count_is_quantity and pdu[0] in (0x03, 0x04):
            reply = reply[:1] + bytes((reply[1] // 2,)) + reply[2:]
        return reply

    def _reply(self, heard: Heard, address: int, pdu: bytes) -> None:
        frame = self._frame(address, pdu)
        settings = self.receiver_settings
        begin_s = max(heard.ends_s + self._turnaround_s(), heard.ends_s + inter_frame_delay_s(settings))
        self._pending = self._pair.at(begin_s, lambda: self._send(frame))

    def _frame(self, address: int, pdu: bytes) -> bytes:
        body = bytes((address,)) + pdu
        if self._habits.speaks_ascii:
            return ascii_frame(body)
        frame = closed(body)
        disobedience = self._habits.disobedience
        if disobedience.check_sum_is_swapped:
            frame = body + check_sum(body)[::-1]
        return frame[: disobedience.reply_ends_after] if disobedience.reply_ends_after else frame

    def _send(self, frame: bytes) -> None:
        self._pending = None
        settings = self.receiver_settings
        if self._habits.speaks_ascii:
            settings = SerialSettings(settings.baud_rate, Parity.EVEN, 1, 7)
        after, pause_s = self._habits.pause_inside
        pauses = (Pause(after, pause_s),) if pause_s and after < len(frame) else ()
        burst = Burst(
            frame,
            settings,
            pauses,
            enable_late_s=self._habits.enable_late_characters * settings.character_s,
            release_late_s=self._habits.release_late_characters * settings.character_s,
        )
        self._pair.send(self, burst)
        own_end_s = self._pair.now_s() + len(frame) * settings.character_s + pause_s
        self._last_own_end_s = self._last_any_end_s = own_end_s

    def _turnaround_s(self) -> float:
        """Draw from the law: most near the median, a share of long ones."""
        law = self._habits.turnaround
        self._count += 1
        draw = Random(f"{self._seed}:{self._name}:{self._count}")
        if law.tail_share and draw.random() < law.tail_share:
            return draw.uniform(law.median_s, law.most_s)
        return draw.triangular(law.least_s, 2 * law.median_s - law.least_s, law.median_s)

    def _take_address(self, address: int) -> None:
        self._addresses = (address, *self._addresses[1:])

    def _take_settings(self, settings: SerialSettings) -> None:
        self._settings = settings
        self._pair.settings_changed(self)

    # Finding its speed

    def _schedule_next_speed(self) -> None:
        automatic = self._automatic
        assert automatic is not None
        listening_since_s = automatic.begin_dwell(self._pair.now_s())
        self._pair.at(automatic.dwell_ends_s, lambda: self._perhaps_next_speed(listening_since_s))

    def _perhaps_next_speed(self, listening_since_s: float) -> None:
        automatic = self._automatic
        assert automatic is not None
        if automatic.has_settled or not automatic.is_dwell(listening_since_s):
            return
        if automatic.move_on(self._pair.now_s()):
            self._pair.settings_changed(self)
        self._schedule_next_speed()
