"""Which line a port text leads to, and what no network carries."""

from __future__ import annotations

import pytest

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.opening import open_wire_line
from buswalk.wire.system_clock import SystemClock

SETTINGS = SerialSettings.of(9600, "8E1")
NO_CALLS_TAKEN = "127.0.0.1:1"


def refusal(port: str, options: PortOptions | None = None) -> PortError:
    with pytest.raises(PortError) as caught:
        open_wire_line(port, SETTINGS, options or PortOptions(), SystemClock())
    return caught.value


@pytest.mark.parametrize("scheme", ["rfc2217", "socket"])
@pytest.mark.parametrize(
    ("options", "words"),
    [
        (PortOptions(direction=Direction.RTS), "the direction 'rts'"),
        (PortOptions(direction=Direction.KERNEL), "the direction 'kernel'"),
        (PortOptions(low_latency=True), "handing bytes over at once"),
    ],
)
def test_expert_settings_that_no_network_carries_are_refused(scheme: str, options: PortOptions, words: str) -> None:
    """Nobody calls: the refusal comes first."""
    error = refusal(f"{scheme}://{NO_CALLS_TAKEN}", options)

    assert error.problem is PortProblem.SETTINGS_REFUSED
    assert words in error.sentence


@pytest.mark.parametrize(
    ("port", "problem"),
    [
        (f"rfc2217://{NO_CALLS_TAKEN}", PortProblem.UNREACHABLE),
        (f"socket://{NO_CALLS_TAKEN}", PortProblem.UNREACHABLE),
        ("rfc2217://", PortProblem.NOT_A_PORT),
        ("telnet://127.0.0.1:23", PortProblem.NOT_A_PORT),
        ("COM300", PortProblem.MISSING),
    ],
)
def test_a_port_text_leads_to_a_network_or_to_a_ports_name(port: str, problem: PortProblem) -> None:
    assert refusal(port).problem is problem
