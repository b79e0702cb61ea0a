"""Loss timers in the window: what an engine says of simulated lines in virtual time, and what follows from it."""

from __future__ import annotations

from pathlib import Path

from buswalk.bus.messages import Kept, OpenPort, Skipped, StartSearch, StartWatch, StreamItem
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.loss_timers.unasked import Stage
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.search.events import AmongOthers, SearchPlan
from buswalk.domain.visit.session_events import JobEnded, JobStarted
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.profile_parts import read_profiles
from buswalk.ui.pages.find.search_outlets import SearchOutlets
from buswalk.ui.pages.find.search_presenter import SearchPresenter
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.timer_desk import TimerDesk
from buswalk.ui.tones import Tone
from tests.bus.engine_bench import EngineBench
from tests.fakes.sent_commands import SentCommands
from tests.ui.pages.find.find_stage import at_a_time, until

PLAIN = SerialSettings.of(9600, "8N1")
ASKED_AS_PLAIN = SerialSettings.of(9600, "8N2")
FAN = '[[device]]\nname = "fan"\naddress = 31\nsettings = "9600 8N1"\ntype = "fan_drive"\n'
PLANNED = '[[planned]]\nname = "fan, bay 1"\naddress = 31\nsettings = "9600 8N1"\nprofile = "fan-drive"\n'
CLIENT = (
    '[[client]]\nname = "control"\nsettings = "9600 8N1"\nrequests = ["1F 03 00 00 00 02"]\nperiod_s = {period_s}\n'
)
TAKEN_OVER = SearchPlan(
    tuple(range(100, 130)),
    {ASKED_AS_PLAIN: 1.0},
    may_probe_living_line=True,
    among_others=AmongOthers.TAKES_OVER,
)
HELD = SearchPlan(tuple(range(100, 130)), {ASKED_AS_PLAIN: 1.0})
WATCH = WatchPlan(
    (WatchedDevice(31, PLAIN, ReadHoldingRegisters(0, 1), minimum_gap_s=0.03),), period_s=1.0, listen_s=0.0
)


def line(folder: Path, *parts: str) -> OpenPort:
    path = folder / "line.toml"
    path.write_text(f'name = "line"\nstory = "for a test"\nseed = 5\n{"".join(parts)}', encoding="utf-8")
    return OpenPort(f"sim:{path}", PLAIN)


class Window:
    """A desk and the page Find, as the window has them; keeps what was told on all pages."""

    def __init__(self) -> None:
        self.desk = TimerDesk(read_profiles)
        self.told: list[tuple[str, str]] = []
        self.desk.tell_left_alone = lambda headline, words: self.told.append((headline, words))
        self.jobs = JobDesk(SentCommands())
        outlets = SearchOutlets(lambda: None, lambda _name, _text: "", lambda _address: None, timers=self.desk)
        self.search = SearchPresenter(self.jobs, outlets)

    def play(self, stream: tuple[StreamItem, ...]) -> Window:
        for item in stream:
            for one in (self.desk, self.jobs, self.search):
                one.take(item)
        self.now_s = max(item.at_s for item in stream if isinstance(item, Kept))
        return self


def said(*commands: OpenPort | StartSearch | StartWatch) -> tuple[StreamItem, ...]:
    """Return what is said up to the end of the job."""
    return until([at_a_time(one) for one in EngineBench().run(*commands)], JobEnded)


def watched(port: OpenPort) -> tuple[StreamItem, ...]:
    """Return what is said of a watch up to its end: its user stops it after five exchanges."""
    bench = EngineBench()
    seen: list[object] = []

    def stop_in_time(event: object) -> None:
        seen.extend([event] if isinstance(event, ExchangeDone) else [])
        if len(seen) == 5:
            bench.engine.stop()

    bench.on_event = stop_in_time
    return until(bench.run(port, StartWatch(WATCH)), JobEnded)


def test_before_the_line_is_taken_the_risk_names_the_device_with_its_timer(tmp_path: Path) -> None:
    other = FAN.replace("fan", "meter", 1).replace("31", "37").replace("fan_drive", "meter")
    client = CLIENT.format(period_s=2.0).replace('02"]', '02", "25 03 00 00 00 02"]')
    window = Window().play(said(line(tmp_path, FAN, other, client, PLANNED), StartSearch(HELD)))

    state = window.search.state.other_client

    assert state is not None
    assert state.risks[1].headline == "31 fan, bay 1: stops with fault 81 after 10 s without a request, as delivered"
    assert state.risks[1].words == (
        "37 may have a loss timer that is not known here: no profile tells of its type. What timers a device really "
        "has, only its documents and its own settings tell. Whoever is responsible for the plant decides; local codes "
        "come first."
    )


def test_taking_the_line_over_is_asked_with_the_timers_in_the_question(tmp_path: Path) -> None:
    window = Window().play(said(line(tmp_path, FAN, CLIENT.format(period_s=2.0), PLANNED), StartSearch(HELD)))
    state = window.search.state.other_client
    assert state is not None

    window.search.act(state.take_over[0])

    asked = window.search.state.other_client
    assert asked is not None
    assert asked.question == (
        "Have its people switched it off, and do they watch the plant? 31 fan, bay 1: stops with fault 81 after 10 s "
        "without a request, as delivered."
    )


def test_the_band_counts_down_while_nobody_asks_and_says_that_nothing_is_sent(tmp_path: Path) -> None:
    """A client that asks once in 300 s: after our listening its device waits in vain."""
    window = Window().play(said(line(tmp_path, FAN, CLIENT.format(period_s=300.0), PLANNED), StartSearch(TAKEN_OVER)))
    (counted,) = window.desk.held_up(window.now_s + 60.0)
    asked_s = window.now_s + 60.0 - counted.unasked_s

    bands = []
    for after_s in (3.0, 6.0, 8.5, 12.0):
        window.search.tick(asked_s + after_s)
        bands.append(window.search.state.band)

    none, held_up, near, over = bands
    assert none is None and held_up is not None and near is not None and over is not None
    assert held_up.headline == "31 fan, bay 1: not heard asked for 6 s, stops with fault 81 in 4 s"
    assert (held_up.tone, near.tone, over.tone) == (Tone.DOUBT, Tone.FAULT, Tone.FAULT)
    assert over.headline == "31 fan, bay 1: not heard asked for 12 s, its 10 s are over: see if it stops with fault 81"
    assert "Nothing is sent to hold it up" in near.words


def test_bytes_at_another_speed_leave_it_open_whether_the_device_was_asked(tmp_path: Path) -> None:
    """A certain fault would be claimed otherwise while its client only talks where nobody listens."""
    window = Window().play(said(line(tmp_path, FAN, CLIENT.format(period_s=300.0), PLANNED), StartSearch(TAKEN_OVER)))
    garbage = Arrival(b"\x00\xff\x13\x37\x00", (), window.now_s, window.now_s + 0.01)
    window.desk.take(Kept(0, StrayArrival(garbage), window.now_s))

    window.search.tick(window.now_s + 60.0)

    band = window.search.state.band
    assert band is not None
    assert band.tone is Tone.DOUBT
    assert band.words.startswith("Bytes that make no frame came meanwhile: it may have been asked at another speed.")


def test_rows_that_a_slow_window_was_not_sent_leave_nothing_to_count(tmp_path: Path) -> None:
    """Requests may be among them: better no countdown than a wrong one."""
    window = Window().play(said(line(tmp_path, FAN, CLIENT.format(period_s=300.0), PLANNED), StartSearch(TAKEN_OVER)))

    window.desk.take(Skipped(1, 5))

    assert window.desk.held_up(window.now_s + 60.0) == ()


def test_a_watch_that_ends_says_who_is_asked_by_nobody_any_more(tmp_path: Path) -> None:
    """Stopping is never held up; what follows from it is said at once, on every page."""
    window = Window().play(watched(line(tmp_path, FAN, PLANNED)))

    headline, words = window.told[-1]

    assert headline == (
        "We have stopped, and nobody else was heard to ask. 31 fan, bay 1: stops with fault 81 after 10 s without a "
        "request, as delivered"
    )
    assert words.startswith("Ask on, or see to it that its client does.")
    window.desk.take(Kept(0, JobStarted(9, "watch", window.now_s + 1.0), window.now_s + 1.0))
    assert window.told[-1] == ("", "")


def test_a_watch_beside_a_living_client_leaves_nobody_alone(tmp_path: Path) -> None:
    port = line(tmp_path, FAN, CLIENT.format(period_s=2.0), PLANNED)

    window = Window().play(watched(port))

    assert all(headline == "" for headline, _ in window.told)


def test_held_up_and_band_stay_quiet_while_the_client_asks(tmp_path: Path) -> None:
    window = Window().play(said(line(tmp_path, FAN, CLIENT.format(period_s=2.0), PLANNED), StartSearch(HELD)))

    assert window.desk.held_up(window.now_s) == ()
    assert [one.stage for one in window.desk.held_up(window.now_s + 8.0)] == [Stage.NEAR]
