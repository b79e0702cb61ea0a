"""The search in words: its sentence of state, bands, what to do next. What it costs stands in cost_words. No Qt."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    EverythingIsAnswered,
    FramingNotCarried,
    GoesBetween,
    LineChatters,
    PassBegan,
    SearchEnd,
    SettingsNotCarried,
)
from buswalk.domain.search.next_search import NextSearch, next_search
from buswalk.domain.search.plan_cost import CostRates
from buswalk.domain.search.thorough import Pass
from buswalk.ui.band_state import BandState
from buswalk.ui.pages.find.found_words import counts_of, counts_sentence, setting_words, who_words
from buswalk.ui.pages.find.known import Known, LineIs
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_run import Phase, Remark
from buswalk.ui.pages.find.search_state import Act, Action, Step, StepsState
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, duration, plural, seconds_words

MOST_STEPS = 3
FIND_SENDER = "Unplug devices one by one until it stops, or listen at other speeds on the page Line."
REASSURANCE = "Every device on the pair, wherever it hides. Reads only."


@dataclass(frozen=True, slots=True)
class SearchFacts:
    """What the words are made from.

    Attributes:
        searched: What was known when the search began or went on.
    """

    board: SearchBoard
    desk: JobDesk
    known: Known
    searched: Known
    rates: CostRates
    now_s: float


def sentence(facts: SearchFacts, heard: str) -> str:
    """Return the sentence of state; `heard` is what listening alone has shown."""
    desk = facts.desk
    if not desk.has_port and desk.port_gone is None:
        return "No port is open. What is found here needs one: open it with Ctrl+O."
    if desk.port_gone is not None:
        return _without_port(facts)
    back = f" The port is back after {duration(desk.returned_after_s)}." if desk.returned_after_s else ""
    return _phase_sentence(facts, heard) + back


def _without_port(facts: SearchFacts) -> str:
    counts = counts_of(facts.board)
    waiting = "Waiting for the port. " if facts.desk.running else "There is no port. "
    return waiting + (counts_sentence(counts, (), so_far=True) if counts.all else "Nothing was found before.")


def _phase_sentence(facts: SearchFacts, heard: str) -> str:
    board = facts.board
    counts = counts_of(board)
    silent = board.planned_silent()
    match board.run.phase:
        case Phase.READY:
            return heard or REASSURANCE
        case Phase.LISTENING if learns_client(facts):
            return "Listening to the other client. Nothing is sent until its cycle is known."
        case Phase.LISTENING:
            return "Listening first. Nothing is sent until it is known that nobody else asks here."
        case Phase.HELD:
            return _held_words(board)
        case Phase.GIVEN_UP:
            return _given_up_words(board)
        case Phase.DONE if board.run.everywhere and not counts.all:
            return "Something answers at every address, so no single device can be told."
        case Phase.DONE:
            return counts_sentence(counts, silent, so_far=False)
        case Phase.PAUSED:
            return f"Paused. {counts_sentence(counts, silent, so_far=True)}"
        case Phase.BROKEN:
            return f"Ended early. {counts_sentence(counts, silent, so_far=True)}"
        case Phase.ASKING:
            return counts_sentence(counts, silent, so_far=True)


def learns_client(facts: SearchFacts) -> bool:
    """Return whether it listens on for the cycle of a client beside which it may ask."""
    run = facts.board.run
    if run.plan is None or not run.plan.may_probe_living_line or run.phase is not Phase.LISTENING:
        return False
    return run.ran_s(facts.now_s) - run.ran_before_s >= run.plan.listen_s


def _held_words(board: SearchBoard) -> str:
    asked = board.run.requests_asked
    if not asked:
        return "Held: the line is not quiet. Nothing was sent."
    return f"Held: another client has begun to ask. {plural(asked, 'request')} of ours had been sent; now nothing is."


def _given_up_words(board: SearchBoard) -> str:
    ended = board.run.ended
    words = ended.sentence if ended is not None else "the line is never quiet"
    if ended is not None and ended.end is SearchEnd.OTHER_CLIENT:
        return f"{words[:1].upper()}{words[1:]}."
    return f"Given up: {words}."


def line_band(board: SearchBoard) -> BandState | None:
    """Return the band for a line that chatters, or for settings at which every address answers, or None."""
    chatters = board.remark(LineChatters)
    if chatters is not None:
        return BandState(
            Tone.DOUBT,
            "The line chatters: bytes that are no reply follow every request",
            f"So behind each of {plural(chatters.requests, 'request')} in {seconds_words(chatters.seconds)}. "
            "It goes on with short waits, and gives up if not one is followed by silence.",
        )
    if not board.run.everywhere:
        return None
    return BandState(Tone.DOUBT, _everywhere_headline(board.run.everywhere), _everywhere_words(board.run.everywhere[0]))


def _everywhere_headline(all_of_them: tuple[AnswersEverywhere, ...]) -> str:
    at = who_words_of_settings([setting_words(one.settings) for one in all_of_them])
    if all_of_them[0].exception_code in (0x0A, 0x0B):
        return f"A gateway refuses at every address at {at}"
    return f"Something answers at every address at {at}"


def _everywhere_words(one: AnswersEverywhere) -> str:
    tried = who_words(one.addresses_tried)
    if one.exception_code in (0x0A, 0x0B):
        return f"{tried} were tried. What answers otherwise is behind it; the rest is the gateway itself."
    return f"{tried} were tried. One device or program that ignores the address, not 247 devices."


def who_words_of_settings(names: list[str]) -> str:
    """Return names as the end of a sentence."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def steps_state(facts: SearchFacts) -> StepsState:
    """Return what to know before the start, or what to do next."""
    phase = facts.board.run.phase
    if phase is Phase.READY:
        return StepsState("Before you start", "", _before(facts.known))
    steps = [
        *_silent_steps(facts.board),
        *_doubt_steps(facts.board),
        *(_remark(one) for one in facts.board.run.remarks),
    ]
    ended = facts.board.run.ended
    if phase is Phase.HELD:
        steps += _HELD_STEPS
    if ended is not None and ended.end is SearchEnd.OTHER_CLIENT:
        steps.append(Step("Ask when it may be off", "Its people can switch it off, or say when its answers may fail."))
    elif phase is Phase.GIVEN_UP:
        steps.append(Step("Find out who sends", FIND_SENDER))
    if phase is Phase.DONE and facts.board.run.everywhere:
        steps.append(Step("Find out what answers", "Unplug devices one by one, or close the program that does."))
    elif phase is Phase.DONE and not facts.board.run.found and not steps:
        steps.append(
            Step("Is anything connected here?", "A pair swapped, no supply, or the wrong port look like this.")
        )
    if phase is Phase.DONE and facts.board.run.ended is not None:
        steps.append(_not_found_step(facts))
    if not steps:
        return StepsState("What to do next", "", (_nothing_yet(phase),))
    return StepsState("What to do next", "while it goes on" if phase.is_running else "", tuple(steps[:MOST_STEPS]))


def _nothing_yet(phase: Phase) -> Step:
    words = "What is worth a look stands here as it comes."
    if phase.is_running:
        words += " To add speeds or addresses: pause (F5), choose, go on. Nothing is asked twice."
    return Step("Nothing yet", words)


def _before(known: Known) -> tuple[Step, ...]:
    listening = (
        Step("10 s of listening come first", "Another client with a shorter period is noticed; the search then waits.")
        if known.line_is is LineIs.LIVE
        else Step("There is no listening first", "Choose this only where one device hangs on a lead of its own.")
    )
    return (
        listening,
        Step("Only reads are sent", "Nothing is written. One register is read at each address."),
        Step(
            "A device with a loss timer may fall back",
            "If the client that usually asks it is cut off for longer than its timer.",
        ),
    )


_HELD_STEPS = (
    Step("Swap the two wires at the adapter", "If the line is quiet then, they were exchanged here."),
    Step("Unplug devices one by one", "A driver that is stuck holds the line until its device is unplugged."),
)
"""What to do about a line that is held at space; another client has a view of its own."""


def _silent_steps(board: SearchBoard) -> list[Step]:
    silent = board.planned_silent()
    if not silent:
        return []
    first = silent[0]
    is_one = len(silent) == 1
    headline = f"{who_words(silent)} {'is' if is_one else 'are'} silent at every setting that was asked"
    words = f"Supply? Swapped pair? Another address? Watch {first if is_one else 'one'}."
    return [Step(headline, words, Action(Act.PING, f"Ping {first}", address=first))]


def _doubt_steps(board: SearchBoard) -> list[Step]:
    heard = {address for address, _ in (*board.run.found, *board.run.unclear)}
    doubtful = sorted(one for one in heard if board.is_in_doubt(one))
    if not doubtful:
        return []
    first = doubtful[0]
    headline = f"{who_words(doubtful)} {'is' if len(doubtful) == 1 else 'are'} in doubt"
    words = "Every exchange is kept: see what came back, byte by byte."
    return [Step(headline, words, Action(Act.OPEN, f"Open {first}", address=first))]


def _remark(one: Remark) -> Step:
    match one:
        case SettingsNotCarried(settings):
            return Step(
                "Nobody follows the speed of this port",
                f"Only {settings} is asked, whatever the line really runs at.",
            )
        case FramingNotCarried(settings):
            return Step(
                "This port carries no framing", f"One framing a speed is asked: {plural(len(settings), 'speed')}."
            )
        case AskedRested(settings, addresses, rest_s, needed_s):
            words = (
                f"Each after {seconds_words(rest_s)} of rest, which takes {duration(needed_s)}; some devices need it."
            )
            return Step(f"{counted(addresses)} addresses once more at {setting_words(settings)}", words)
        case AdapterHearsItself():
            return Step("This adapter hears itself", "Each request comes back, and is taken off before its answer.")
        case PassBegan():
            return _pass_step(one)
        case EverythingIsAnswered(settings):
            return Step(
                f"Somebody answers whatever is sent at {setting_words(settings)}",
                "Bytes follow every request, none while nothing is asked. Only whole right replies count there.",
            )
        case LineChatters():
            return Step("Find out who sends", FIND_SENDER)
        case GoesBetween(cycle, left_out):
            every = seconds_words(round(cycle.round_s, 1))
            words = (
                f"It asks every {every} at {setting_words(cycle.settings)}. Slower devices may be missed, and it takes "
                "longer by the clock. It stops if that traffic suffers."
            )
            where = ", ".join(setting_words(one) for one in left_out)
            return Step("Asks in another client's pauses", f"{words} Not asked at {where}." if where else words)


def _next(facts: SearchFacts) -> NextSearch | None:
    """Return what to try after this search, or None."""
    plan = facts.board.run.plan
    return next_search(plan, facts.board.found_at, facts.rates) if plan is not None else None


def _not_found_step(facts: SearchFacts) -> Step:
    ended, following = facts.board.run.ended, _next(facts)
    assert ended is not None
    words = f"{ended.sentence[:1].upper()}{ended.sentence[1:]}."
    if following is None:
        return Step("What a search like this does not find", words)
    where = "the speeds in use" if len(following.speeds) > 1 else f"{following.speeds[0]} baud"
    headline = f"Try next: thorough at {where}, {duration(following.seconds)}"
    return Step(headline, words, Action(Act.SEARCH_THOROUGHLY, "Search thoroughly"))


def _pass_step(began: PassBegan) -> Step:
    where = f"at {began.baud_rate} baud"
    match began.of_pass:
        case Pass.FIRST:
            return Step(f"First pass {where}", "Every address with functions 03, 04 and 01, each framing by itself.")
        case Pass.HOLD:
            return Step(
                f"Held {where}", "The same again: a device that looks for the speed by itself needs a while to take it."
            )
        case Pass.SECOND | Pass.THIRD:
            return Step(
                f"{'Second' if began.of_pass is Pass.SECOND else 'Third'} pass {where}",
                "With another wait: slow answers that met a request of ours before come while nothing is sent.",
            )
        case Pass.PATIENT:
            return Step(f"Likely addresses patiently {where}", "Each after a pause of 0.5 s, with a wait of 1.5 s.")
        case Pass.PAUSED:
            return Step(f"All others after a pause {where}", "Some devices keep silent unless the line has rested.")
