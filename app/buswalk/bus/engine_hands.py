"""Hands and hurried time on a simulated line, carried out and marked."""

from __future__ import annotations

from buswalk.bus.cannot_do import CannotDo
from buswalk.bus.messages import SetFactor, UseHand
from buswalk.bus.session import Session
from buswalk.domain.visit.session_events import MarkMade, MarkSource


def use_simulated(command: UseHand | SetFactor, session: Session) -> None:
    """Do it, and keep a mark that says what was done.

    Raises:
        CannotDo: The line is none that is simulated, or has no such device, or time cannot pass so.
    """
    simulated = session.held.simulated if session.held is not None else None
    if simulated is None:
        raise CannotDo("only a simulated line has hands and a time that can be hurried")
    try:
        if isinstance(command, SetFactor):
            simulated.set_factor(command.factor)
            session.tell_time()
            words = f"time on this line passes {command.factor:g} times as fast as on the wall"
        else:
            words = simulated.use(command.hand, command.at)
    except KeyError as error:
        raise CannotDo(f"there is no device {error} on this line") from error
    except ValueError as error:
        raise CannotDo(str(error)) from error
    session.keep(MarkMade(words, MarkSource.HAND, session.clock.now_s()))
