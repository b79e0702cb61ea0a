"""Exception codes of the standard and what each tells the engineer (Application V1.1b3, 7)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ExceptionMeaning:
    """A code in words.

    Attributes:
        name: The standard's name in lower case.
        tells: What it tells the engineer.
    """

    name: str
    tells: str


_MEANINGS: tuple[tuple[int, ExceptionMeaning], ...] = (
    (
        0x01,
        ExceptionMeaning(
            "illegal function",
            "it does not know this function, or not in its present state; address and line settings are right",
        ),
    ),
    (0x02, ExceptionMeaning("illegal data address", "start and quantity together leave its register map")),
    (
        0x03,
        ExceptionMeaning(
            "illegal data value",
            "the request is not built as it wants it, often a quantity above its own limit",
        ),
    ),
    (0x04, ExceptionMeaning("server device failure", "it failed while doing what was asked")),
    (0x05, ExceptionMeaning("acknowledge", "it has accepted the request and needs long: ask again later")),
    (0x06, ExceptionMeaning("server device busy", "it is busy: repeat the request later")),
    # Not in the table of V1.1b3, only implied by its counter 08/10 and by bit 3 of the send event (from memory).
    (0x07, ExceptionMeaning("negative acknowledge", "it cannot do this (a code of an older guide)")),
    (0x08, ExceptionMeaning("memory parity error", "its extended file area failed a consistency check")),
    (0x0A, ExceptionMeaning("gateway path unavailable", "a gateway is wrongly set up or overloaded")),
    (
        0x0B,
        ExceptionMeaning("gateway target failed to respond", "the device behind a gateway or controller is silent"),
    ),
)
_BY_CODE = dict(_MEANINGS)
STANDARD_EXCEPTION_CODES = tuple(code for code, _ in _MEANINGS)


def exception_meaning(code: int) -> ExceptionMeaning:
    """Return what a code means; any byte has an answer, for devices send codes that the standard lacks."""
    return _BY_CODE.get(code, ExceptionMeaning("not in the standard", "only its manual can say what it means"))
