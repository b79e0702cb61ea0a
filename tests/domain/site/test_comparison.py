"""What was found beside what was planned."""

from __future__ import annotations

import pytest

from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange, NoTurnaround
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.report_server_id import ReportServerId
from buswalk.domain.modbus.outcome import ExceptionReply, NoReply, Outcome
from buswalk.domain.modbus.request import Request
from buswalk.domain.search.events import Doubt, Found, Identity, Unclear
from buswalk.domain.site.comparison import PlannedState, Sightings, alike
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import SessionStarted

SLOW, SLOW_TWO_STOP, FAST = (
    SerialSettings.of(9600, "8N1"),
    SerialSettings.of(9600, "8N2"),
    SerialSettings.of(19200, "8E1"),
)
PLANNED = PlannedDevice(1, 14, "controller", SLOW)
SILENCE = NoReply(0.06)
REFUSAL = ExceptionReply(bytes((14, 0x83, 0x02, 0xD0, 0xF1)), 2)


def found(settings: SerialSettings = SLOW, address: int = 14, answered: int = 2, *doubts: Doubt) -> Found:
    """A device that answers there."""
    return Found(
        server_address=address,
        settings=settings,
        function=0x03,
        is_refusal=False,
        answered=answered,
        confirmations=2,
        doubts=doubts,
        identity=Identity(),
        exchange_numbers=(1, 2),
    )


def asked(outcome: Outcome, settings: SerialSettings = SLOW, request: Request | None = None) -> ExchangeDone:
    """One exchange with address 14; its bytes do not matter here."""
    sent = Sent(1.0, 1.01, 1.01)
    question = request or ReadHoldingRegisters(0, 1)
    return ExchangeDone(Exchange(1, 14, question, b"\x0e", settings, sent, (), 1.1, outcome, (), NoTurnaround()))


def state_after(*events: object, device: PlannedDevice = PLANNED) -> PlannedState:
    """How the planned device stands."""
    sightings = Sightings()
    for event in events:
        sightings.take(event)
    return sightings.compare(device).state


def test_a_device_never_asked_is_not_silent() -> None:
    assert state_after() is PlannedState.NOT_ASKED


def test_silence_at_another_setting_is_no_silence_at_the_planned_one() -> None:
    assert state_after(asked(SILENCE, FAST)) is PlannedState.NOT_ASKED


def test_silence_at_the_planned_setting_is_silence() -> None:
    """Without parity one and two stop bits are asked alike: receivers test the first stop bit only."""
    assert state_after(asked(SILENCE, SLOW_TWO_STOP)) is PlannedState.SILENT


def test_without_a_planned_setting_any_silence_counts() -> None:
    assert state_after(asked(SILENCE, FAST), device=PlannedDevice(1, 14, "probe")) is PlannedState.SILENT


@pytest.mark.parametrize("settings", [SLOW, SLOW_TWO_STOP])
def test_a_confirmed_device_at_its_setting_is_as_planned(settings: SerialSettings) -> None:
    assert state_after(found(settings)) is PlannedState.AS_PLANNED


def test_a_device_at_another_setting_is_told_apart() -> None:
    assert state_after(found(FAST)) is PlannedState.OTHER_SETTING


def test_a_device_that_takes_any_speed_is_as_planned() -> None:
    assert state_after(found(FAST), found(SLOW)) is PlannedState.AS_PLANNED


@pytest.mark.parametrize("event", [found(SLOW, 14, 1), found(SLOW, 14, 2, Doubt.SECOND_ANSWER)])
def test_a_device_that_is_not_surely_there_is_in_doubt(event: Found) -> None:
    assert state_after(event) is PlannedState.IN_DOUBT


def test_how_a_device_wants_to_be_asked_is_no_doubt_of_its_presence() -> None:
    assert state_after(found(SLOW, 14, 2, Doubt.NEEDS_A_PAUSE)) is PlannedState.AS_PLANNED


def test_replies_that_are_never_whole_are_a_doubt() -> None:
    assert state_after(asked(SILENCE), Unclear(14, SLOW, "its replies are damaged", (1,))) is PlannedState.IN_DOUBT


def test_a_device_that_answered_and_went_quiet_is_told() -> None:
    assert state_after(found(), asked(SILENCE), asked(SILENCE)) is PlannedState.QUIET


def test_one_silence_is_not_yet_quiet() -> None:
    assert state_after(found(), asked(SILENCE), asked(REFUSAL), asked(SILENCE)) is PlannedState.AS_PLANNED


def test_silence_on_a_function_it_may_not_know_is_not_quiet() -> None:
    """Devices may be silent on function 17 and 43 instead of refusing: common practice, no source."""
    silences = [asked(SILENCE, SLOW, ReportServerId())] * 3

    assert state_after(found(), *silences) is PlannedState.AS_PLANNED


def test_what_is_not_planned_is_listed_by_address() -> None:
    sightings = Sightings()
    for event in (found(SLOW, 56), found(SLOW, 14), found(FAST, 1)):
        sightings.take(event)

    assert [one.server_address for one in sightings.strangers([PLANNED])] == [1, 56]


def test_a_new_session_begins_anew() -> None:
    session = SessionStarted("2025-11-25T09:41:00+01:00", 1.0, is_simulated=False, program="buswalk test")

    assert state_after(found(), session) is PlannedState.NOT_ASKED


def test_silences_are_counted_until_it_answers() -> None:
    sightings = Sightings()
    for _ in range(3):
        sightings.take(asked(SILENCE))

    assert sightings.compare(PLANNED).silences == 3
    assert sightings.compare(PLANNED).last_asked_s == 1.1


def test_stop_bits_without_parity_are_written_as_one() -> None:
    assert alike(SLOW_TWO_STOP) == SLOW
    assert alike(FAST) == FAST
