"""Finds out whether a port hears itself: one legal read to the reserved address 255, which nobody may answer."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.outcome import DamagedEcho, EchoOnly, NoReply, NotSent, Outcome
from buswalk.domain.visit.session_events import EchoTested
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import ECHO_TEST_ADDRESS, ECHO_TEST_REQUEST

LISTEN_S = 2.0
WAIT_S = 0.5


def echo_test(asker: Asker) -> Iterator[EchoTested]:
    """Listen first; send only if the line is quiet. Yield one verdict.

    Raises:
        PortError: The port was lost.
        Stopped: The user's stop.
    """
    heard = asker.listen_until(asker.clock.now_s() + LISTEN_S)
    if heard:
        count = sum(len(one.data) for one in heard)
        sentence = f"not tested: {count} bytes came while listening, and a test now could spoil another's exchange"
        yield EchoTested(is_heard=False, sentence=sentence, at_s=asker.clock.now_s())
        return
    exchange = asker.ask(ECHO_TEST_ADDRESS, ECHO_TEST_REQUEST, AskTiming(WAIT_S))
    is_heard, sentence = _verdict(exchange.outcome)
    yield EchoTested(is_heard=is_heard, sentence=sentence, at_s=asker.clock.now_s())


def _verdict(outcome: Outcome) -> tuple[bool, str]:
    match outcome:
        case EchoOnly():
            return True, "the port hears itself: its own request came back, byte for byte"
        case DamagedEcho():
            return True, "the port hears itself, but its request came back changed: somebody else sent at once"
        case NoReply():
            return False, "address 255 stayed silent"
        case NotSent(sentence=sentence):
            return False, f"not tested: {sentence}"
        case _:
            return False, "something answered at the reserved address 255: a program that answers everywhere"
