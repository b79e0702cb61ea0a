"""One event of each kind that the watch for who is quiet says."""

from __future__ import annotations

from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceRound, WentQuiet
from tests.fakes.every_write import SETTINGS

EVERY_PRESENCE: tuple[object, ...] = (
    PresenceBase((37, 38), (41,), 2.172),
    WentQuiet(37, SETTINGS, 2.173, 2.174),
    AnsweredLate(38, SETTINGS, 0.4, 2.175),
    CameBack(37, SETTINGS, 0.003, 2.176),
    PresenceRound(1, 0.3, 2, 0, (38,), 2.177),
)
