"""`ask` can express every function of the table, and refuses in a sentence what cannot be."""

from __future__ import annotations

import pytest

from buswalk.cli.parts import WrongUse
from buswalk.cli.request_forms import FORMS, Given, request_of
from buswalk.domain.modbus.functions.table import FUNCTIONS
from buswalk.jobs.asking.write_guard import Consents, WriteConsent
from tests.fakes.command_in_process import handing, ran_on
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

EXAMPLES = [
    # Worked examples of MODBUS Application V1.1b3; registers there are counted from 1, here as sent.
    ("--function 01 --register 19 --quantity 19", "01 00 13 00 13"),  # 6.1
    ("--function 02 --register 196 --quantity 22", "02 00 C4 00 16"),  # 6.2
    ("--register 107 --quantity 3", "03 00 6B 00 03"),  # 6.3
    ("--function 04 --register 8", "04 00 08 00 01"),  # 6.4
    ("--function 05 --register 172 --values on", "05 00 AC FF 00"),  # 6.5
    ("--function 06 --register 1 --values 3", "06 00 01 00 03"),  # 6.6
    ("--function 07", "07"),  # 6.7
    ("--function 08 --data A537", "08 00 00 A5 37"),  # 6.8.2
    ("--function 08 --sub-function 0B", "08 00 0B 00 00"),  # 6.8.1
    ("--function 0B", "0B"),  # 6.9
    ("--function 0C", "0C"),  # 6.10
    ("--function 0F --register 19 --values 1,0,1,1,0,0,1,1,1,0", "0F 00 13 00 0A 02 CD 01"),  # 6.11
    ("--function 10 --register 1 --values 0x000A,0x0102", "10 00 01 00 02 04 00 0A 01 02"),  # 6.12
    ("--function 11", "11"),  # 6.13
    ("--function 16 --register 4 --and-mask F2 --or-mask 25", "16 00 04 00 F2 00 25"),  # 6.16
    (
        "--function 17 --register 3 --quantity 6 --write-register 14 --values 255,0xFF,255",
        "17 00 03 00 06 00 0E 00 03 06 00 FF 00 FF 00 FF",
    ),  # 6.17
    ("--function 2B", "2B 0E 01 00"),  # 6.21
    ("--function 2B --read-code 04 --object 02", "2B 0E 04 02"),  # 6.21
]


@pytest.mark.parametrize(("options", "pdu"), EXAMPLES)
def test_what_is_written_is_what_leaves(options: str, pdu: str) -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    consents = Consents(write=WriteConsent("a fake moves nothing"))

    ran_on(handing(line, clock, consents), "ask", "--port", "x", "--address", "17", *options.split())

    assert [sent[1:-2].hex(" ").upper() for _, sent in line.writes] == [pdu]
    assert line.writes[0][1][0] == 17


def test_every_function_of_the_table_has_a_form_and_an_example() -> None:
    codes = [row.function_code for row in FUNCTIONS]

    assert [form.function_code for form in FORMS] == codes
    assert {int(pdu[:2], 16) for _, pdu in EXAMPLES} == set(codes)


@pytest.mark.parametrize(
    ("code", "given", "words"),
    [
        (0x14, Given(), "--function 14 is not built"),
        (0x06, Given(values=(5,)), "needs --register"),
        (0x05, Given(register=1, values=(2,)), "2 is no state of a coil"),
        (0x05, Given(register=1, values=(1, 0)), "it writes one value, and --values has 2"),
        (0x0F, Given(register=1, values=(1, 7)), "7 is no state of a coil"),
        (0x16, Given(register=4, and_mask=0), "needs --or-mask"),
        (0x17, Given(), "needs --write-register and --values"),
        (0x03, Given(values=(1,)), "does not take --values"),
        (0x04, Given(object=1, and_mask=2), "does not take --and-mask and --object"),
        (0x03, Given(quantity=126), "quantity 126 is outside 1 to 125"),
        (0x03, Given(register=65535, quantity=2), "ends beyond 65535"),
        (0x08, Given(sub_function=5), "sub-function 05 is reserved"),
        (0x08, Given(sub_function=0x0B, data=b"\x00\x00\x00\x00"), "only return query data takes more"),
        (0x08, Given(data=b"\x01"), "1 to 125 words"),
        (0x2B, Given(read_code=5), "read code 05 is none"),
    ],
)
def test_what_cannot_be_is_refused_with_its_option_and_a_way_out(code: int, given: Given, words: str) -> None:
    with pytest.raises(WrongUse) as refused:
        request_of(code, given)

    assert words in str(refused.value)


def test_a_write_never_goes_to_a_register_that_was_not_named() -> None:
    """Register 0 as a silent default could move something."""
    writing = [form for form in FORMS if "values" in form.needs or "and_mask" in form.needs]

    assert [form.function_code for form in writing] == [0x05, 0x06, 0x0F, 0x10, 0x16, 0x17]
    assert all({"register", "write_register"} & set(form.needs) for form in writing)
