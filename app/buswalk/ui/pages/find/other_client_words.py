"""Another client is alive: who asks whom, what may happen, how to go on, in words. No Qt."""

from __future__ import annotations

from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.search.overheard import Overheard, OverheardRequest
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.exchange_words import request_words
from buswalk.ui.pages.find.search_state import Act, Action, OtherClientState, OverheardRow, Step
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural, seconds_words

CONFIRM = "The people here know; missed answers are fine"
CONFIRM_FIRST = "Tick first that the people here know."
LISTEN_ON_S = 600.0


def living_band(living: LivingLine, overheard: Overheard, *, is_listening: bool) -> BandState:
    """Return the band: what is alive, and that nothing was sent."""
    action = (
        BandAction(Act.STOP.value, "Stop listening", "F5")
        if is_listening
        else BandAction(Act.LISTEN_ON.value, "Listen on", "F5")
    )
    requests = sum(one.asked for one in overheard.requests)
    match living.verdict:
        case Verdict.TRAFFIC:
            words = f"{plural(requests, 'request')} heard. " if requests else "Whole frames were heard. "
            return BandState(Tone.FOREIGN, _traffic_headline(overheard), words + _WAITS, (action,))
        case Verdict.HELD:
            headline = "The line is held at space: a pair swapped, or a driver stuck"
            return BandState(Tone.DOUBT, headline, "No device can be heard until that is mended. " + _WAITS, (action,))
        case _:
            headline = "Somebody talks on this line, at another speed or in another protocol"
            heard = f"{plural(overheard.byte_count, 'byte')} heard that make no frame. " if overheard.byte_count else ""
            return BandState(Tone.FOREIGN, headline, heard + _WAITS, (action,))


_WAITS = "Nothing was sent by this laptop. The search waits for you."


def _traffic_headline(overheard: Overheard) -> str:
    addresses = {one.server_address for one in overheard.requests}
    if not addresses:
        return "Another client is alive on this line"
    every = f" every {seconds_words(round(overheard.round_s, 1))}" if overheard.round_s else ""
    return f"Another client is alive on this line: it asks {plural(len(addresses), 'address', 'addresses')}{every}"


def other_client_state(
    living: LivingLine, overheard: Overheard, heard_words: str, *, is_confirmed: bool
) -> OtherClientState:
    """Return the whole of it."""
    return OtherClientState(
        aside=heard_words,
        rows=tuple(_row(one) for one in overheard.requests),
        nothing_whole=_nothing_whole(living, overheard),
        risks=_risks(living),
        listen_words="Learns who is there from the other client's traffic. Sends nothing.",
        search_words=(
            "Each request waits until the line is quiet; where bytes come in between it is asked again after a longer "
            "pause. It takes longer, and both can still meet."
        ),
        is_confirmed=is_confirmed,
        confirm_words=CONFIRM,
        search=Action(Act.SEARCH_IN_PAUSES, "Search in its pauses", refusal="" if is_confirmed else CONFIRM_FIRST),
        note="Your choice is kept in the record, with its time.",
    )


def _row(one: OverheardRequest) -> OverheardRow:
    if one.refused and one.refused == one.answered:
        came, kind = "refused", OutcomeKind.REFUSED
    elif one.answered:
        came, kind = "answered", OutcomeKind.ANSWERED
    else:
        came, kind = "no reply heard", OutcomeKind.NO_REPLY
    return OverheardRow(
        asks=str(one.server_address) if one.server_address else "all",
        request=request_words(one.pdu),
        every=seconds_words(round(one.period_s, 1)) if one.period_s else "once",
        answered=f"{one.answered} of {one.asked}",
        came_back=came,
        kind=kind,
    )


def _nothing_whole(living: LivingLine, overheard: Overheard) -> str:
    if overheard.requests:
        return ""
    if living.verdict is Verdict.TRAFFIC:
        return "Frames came, but no request among them was heard whole."
    return "No whole frame was heard at this setting, so who asks whom cannot be told."


def _risks(living: LivingLine) -> tuple[Step, ...]:
    if living.verdict is Verdict.HELD:
        return (Step("Nothing will be found", "While the line is held nobody can be heard."),)
    return (
        Step(
            "Its requests and ours may meet", "Both are then damaged. It sees missed answers, and may raise an alarm."
        ),
        Step(
            "A device with a loss timer may fall back",
            "If its own client does not reach it in time, what it drives goes to its fallback value.",
        ),
        Step("A device may drop an answer when it hears us", "Then it seems to fail to the other client for a round."),
    )
