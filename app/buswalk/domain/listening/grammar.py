"""Which frames there are: their lengths, what of them is believed alone, and how many false ones chance makes.

Lengths come from the one table of function codes. What is legal is written here a second time, beside the classes that
build requests and replies, because it must hold for thousands of frames at once; a test holds the two together.
"""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.listening.legality import (
    BITS_A_REGISTER,
    ByteAmong,
    Check,
    CountFits,
    NeedsCompany,
    SpanWithin,
    WordAmong,
    share_of,
)
from buswalk.domain.modbus.exception_code import STANDARD_EXCEPTION_CODES
from buswalk.domain.modbus.functions.diagnose import SubFunction
from buswalk.domain.modbus.functions.table import FUNCTIONS

HIGHEST_SERVER_ADDRESS = 247
"""248 to 255 are reserved, 0 is the broadcast (Serial Line V1.02, 2.2)."""
CRC_VALUES = 1 << 16

Checks = tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class Legality:
    """What makes a request, and a reply, of one function code be believed without a partner."""

    function_code: int
    request: Checks
    reply: Checks


_STATUS = WordAmong(2, frozenset({0x0000, 0xFFFF}))
"""Program status, idle or busy (Application V1.1b3, 6.9 and 6.10)."""
_SWITCHED = WordAmong(4, frozenset({0x0000, 0xFF00}))
_SUB_FUNCTION = WordAmong(2, frozenset(int(one) for one in SubFunction))
_EVEN = frozenset(range(2, 251, 2))
_READ_CODE = ByteAmong(3, frozenset({1, 2, 3, 4}))
_MEI_TYPE = ByteAmong(2, frozenset({0x0E}))

# Clauses are of MODBUS Application Protocol V1.1b3.
LEGALITIES: tuple[Legality, ...] = (
    Legality(0x01, (SpanWithin(2, 2000),), (ByteAmong(2, frozenset(range(1, 251))),)),  # 6.1
    Legality(0x02, (SpanWithin(2, 2000),), (ByteAmong(2, frozenset(range(1, 251))),)),  # 6.2
    Legality(0x03, (SpanWithin(2, 125),), (ByteAmong(2, _EVEN),)),  # 6.3
    Legality(0x04, (SpanWithin(2, 125),), (ByteAmong(2, _EVEN),)),  # 6.4
    Legality(0x05, (_SWITCHED,), (_SWITCHED,)),  # 6.5
    Legality(0x06, (), ()),  # 6.6: any register, any value
    Legality(0x07, (NeedsCompany(),), ()),  # 6.7
    Legality(0x08, (_SUB_FUNCTION,), (_SUB_FUNCTION,)),  # 6.8
    Legality(0x0B, (NeedsCompany(),), (_STATUS,)),  # 6.9
    Legality(0x0C, (NeedsCompany(),), (ByteAmong(2, frozenset(range(6, 71))), WordAmong(3, _STATUS.allowed))),  # 6.10
    Legality(0x0F, (SpanWithin(2, 1968), CountFits(4, 6, bits_each=1)), (SpanWithin(2, 1968),)),  # 6.11
    Legality(0x10, (SpanWithin(2, 123), CountFits(4, 6, BITS_A_REGISTER)), (SpanWithin(2, 123),)),  # 6.12
    Legality(0x11, (NeedsCompany(),), (ByteAmong(2, frozenset(range(1, 252))),)),  # 6.13
    Legality(0x16, (), ()),  # 6.16: any register, any masks
    Legality(
        0x17,
        (SpanWithin(2, 125), SpanWithin(6, 121), CountFits(8, 10, BITS_A_REGISTER)),
        (ByteAmong(2, _EVEN),),
    ),  # 6.17
    Legality(
        0x2B,
        (_MEI_TYPE, _READ_CODE),
        (
            _MEI_TYPE,
            _READ_CODE,
            ByteAmong(4, frozenset({0x01, 0x02, 0x03, 0x81, 0x82, 0x83})),
            ByteAmong(5, frozenset({0x00, 0xFF})),
        ),
    ),  # 6.21
)
EXCEPTION: Checks = (ByteAmong(2, frozenset(STANDARD_EXCEPTION_CODES)),)
"""An exception reply; one is expected of each function code of the table (section 7)."""

assert [one.function_code for one in LEGALITIES] == [row.function_code for row in FUNCTIONS]


def false_frames_a_byte() -> float:
    """Return how many false frames random bytes can make, a byte: no more than this, on average.

    At each offset: an address that a server may have, a function code, a legal head, and a CRC that fits by chance. The
    sum over all frames counts an offset twice where two fit, and frames that others hide, so it is an upper bound.
    """
    shares = 0.0
    for one in LEGALITIES:
        shares += share_of(one.request) + share_of(EXCEPTION)
        if one.reply != one.request:
            shares += share_of(one.reply)
    return (HIGHEST_SERVER_ADDRESS + 1) / 256 * shares / 256 / CRC_VALUES
