"""The page Registers as it is now, put together from its desks. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.samples import Quality
from buswalk.domain.watching.waits import wait_for_s
from buswalk.ui.pages.registers.known_devices import KnownDevice, KnownDevices
from buswalk.ui.pages.registers.other_writes import OtherWrites
from buswalk.ui.pages.registers.point_board import PointBoard
from buswalk.ui.pages.registers.point_pane import PointPane
from buswalk.ui.pages.registers.point_reader import PointReader
from buswalk.ui.pages.registers.read_plans import PERIODS_S, KnownCost, readable_names
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.reading_rows import readings_of
from buswalk.ui.pages.registers.registers_state import Chooser, ReadingsState, RegistersFace, RegistersState
from buswalk.ui.pages.registers.shown_list import SHIFTS, ShownList
from buswalk.ui.pages.registers.state_words import Counts, main_words, no_device_words, sentence_of
from buswalk.ui.pages.registers.workbench import Workbench
from buswalk.ui.pages.registers.write_desk import WriteDesk
from buswalk.ui.pages.registers.write_target import WriteTarget
from buswalk.ui.timer_desk import TimerDesk
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural, seconds_words

LEAST_WRITE_WAIT_S = 1.0
"""A device that stores may need longer than for a reading (common practice, no source)."""
PERIOD_WORDS = ("once", *(f"every {seconds_words(one)}" for one in PERIODS_S[1:]))


@dataclass(frozen=True, slots=True)
class Desks:
    """Who knows what is on the page."""

    devices: KnownDevices
    shown: ShownList
    board: PointBoard
    pane: PointPane
    reading: ReadingDesk
    reader: PointReader
    write: WriteDesk
    bench: Workbench
    timers: TimerDesk
    other: OtherWrites


class PagePicture:
    """Makes the state of the page out of its desks."""

    def __init__(self, desks: Desks) -> None:
        self._desks = desks
        self._cost = KnownCost()

    def state(self, face: RegistersFace, now_s: float) -> RegistersState:
        """Return the page as it is at a line time."""
        device = self._desks.shown.device
        if device is None:
            return RegistersState(sentence=no_device_words(has_port=self._desks.reading.jobs.has_port))
        return self._state_of(device, face, now_s)

    def _state_of(self, device: KnownDevice, face: RegistersFace, now_s: float) -> RegistersState:
        desks, shown, bench = self._desks, self._desks.shown, self._desks.bench
        profile = shown.profile()
        points = desks.pane.rows(device.server_address, profile, now_s)
        sentence, tone = self._sentence(device, profile, now_s)
        point, other = desks.pane.point(device), desks.other.state(device, now_s)
        write, is_move = desks.write.state(self.target(), now_s), face is RegistersFace.MOVE
        if is_move:
            sentence, tone = other.outcome.sentence, Tone.INK2
        return RegistersState(
            is_empty=False,
            sentence=sentence,
            sentence_tone=tone,
            devices=desks.devices.chooser(device.server_address),
            profiles=shown.chooser(),
            periods=Chooser(PERIOD_WORDS, desks.reader.period),
            shift=SHIFTS.index(shown.shift_now),
            raw=shown.raw_state(),
            points=points,
            readings=self._readings(device, point, now_s),
            write=replace(desks.other.in_write_box(write, face), beside=desks.timers.beside_words()),
            main_words=other.outcome.look_words if is_move else self._reading_words(device),
            main_refusal=other.outcome.look_refusal if is_move else desks.reader.refusal(),
            question=desks.reading.living_line,
            falls_back=desks.timers.held_up_words() if desks.reading.living_line else "",
            face=face,
            finder=bench.finder.state(device.server_address, point),
            learn=bench.map.state(device, desks.timers.beside_words()),
            describe=bench.describe_state(None if shown.is_raw else point),
            brought=bench.lists.state(),
            other=other,
        )

    def _reading_words(self, device: KnownDevice) -> str:
        desks = self._desks
        return main_words(desks.reading, device.server_address, is_once=desks.reader.period == 0)

    def target(self) -> WriteTarget | None:
        """Return where a value would be written: the focused point, and what is known of it."""
        desks, device = self._desks, self._desks.shown.device
        point = desks.pane.point(device)
        if device is None or point is None:
            return None
        story = desks.board.story(device.server_address, point.name)
        told = story is not None and story.last.sample.quality not in (Quality.NO_REPLY, Quality.REFUSED)
        words = story.words if story is not None and told else ()
        gap_s = desks.shown.profile().rules.minimum_gap_s
        wait_s = max(LEAST_WRITE_WAIT_S, wait_for_s(desks.reading.longest_turnaround_s(device.server_address)))
        known = tuple(one.server_address for one in desks.devices.all if one.server_address != BROADCAST_ADDRESS)
        return WriteTarget(
            device.server_address, device.settings, point, desks.shown.is_raw, words, gap_s, wait_s, known
        )

    def _readings(self, device: KnownDevice, point: Point | None, now_s: float) -> ReadingsState:
        if point is None:
            return ReadingsState("Every reading", aside="choose a point in the table")
        readings = readings_of(device.server_address, point, self._desks.board, now_s)
        return replace(readings, below=readings.below[-1:]) if self._desks.shown.is_raw else readings

    def _sentence(self, device: KnownDevice, profile: RegisterProfile, now_s: float) -> tuple[str, Tone]:
        reading = self._desks.reading
        if self._desks.reader.told:
            return self._desks.reader.told, Tone.DOUBT
        if reading.problem:
            return f"{reading.problem[0].upper()}{reading.problem[1:]}.", Tone.DOUBT
        if reading.is_listening and reading.reads(device.server_address):
            return reading.listening_words(now_s), Tone.INK2
        return self._counts_and_cost(device, profile), Tone.INK2

    def _counts_and_cost(self, device: KnownDevice, profile: RegisterProfile) -> str:
        desks = self._desks
        counts = Counts.of(profile, lambda name: desks.board.story(device.server_address, name))
        words = sentence_of(counts, device.settings)
        traits = desks.reading.traits
        if traits is not None and readable_names(profile):
            cost = self._cost.of(device, profile, traits)
            words += f" One read is {plural(cost.requests, 'request')}, {cost.seconds:.2f} s."
        if desks.shown.library.problems:
            words += f" {plural(len(desks.shown.library.problems), 'profile')} cannot be read."
        return words
