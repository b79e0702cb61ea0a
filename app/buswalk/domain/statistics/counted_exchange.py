"""What counting needs of an exchange, and nothing else: a record of millions is counted without its bytes."""

from __future__ import annotations

from typing import NamedTuple

from buswalk.domain.line_events import LateReply

NO_REFUSAL = -1


class CountedExchange(NamedTuple):
    """One exchange. A tuple, for there are many: it is made in a third of the time of a dataclass.

    Attributes:
        outcome: Class name of the outcome in snake case.
        exception_code: That it was refused with; NO_REFUSAL if it was not.
        is_stray, is_foreign: Whether bytes of no frame, or a frame of another address, came in it.
        began_s: When its request began, or was given up.
        request_ended_s: When its request had ended at the soonest; None where nothing left.
        turnaround_s: At most this; None where none could be taken.
        received_bytes: How many bytes came, echo included.
        late: The late reply that is surely its answer.
    """

    number: int
    session: int
    server_address: int
    outcome: str
    exception_code: int
    is_stray: bool
    is_foreign: bool
    began_s: float
    request_ended_s: float | None
    ended_s: float
    turnaround_s: float | None
    received_bytes: int
    character_s: float
    late: LateReply | None
