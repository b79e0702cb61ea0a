"""What `read` and `watch` say of points to machines, beside the events of the engine."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PointRead:
    """One value of one point, ready to be used.

    Attributes:
        exchange: Number of the exchange that told it.
        value: In words, with the digits of the point and without its unit; empty where there is none.
        number: As it is plotted; null where there is none.
        raw: The words or the bit as they came, in hex; empty without a reply.
    """

    exchange: int
    server_address: int
    point: str
    value: str
    unit: str
    number: float
    quality: str
    raw: str
    table: str
    register_address: int
    at_s: float
    uncertainty_s: float
