"""Expert settings of a port, and the second confirmation: what the options lead to."""

from __future__ import annotations

import argparse

import pytest

from buswalk.cli.options import add_line_options, port_choice
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from tests.fakes.command_in_process import ran

SETTINGS = SerialSettings.of(9600, "8N1")


def chosen(*options: str) -> PortOptions:
    parser = argparse.ArgumentParser()
    add_line_options(parser)
    return port_choice(parser.parse_args(["--port", "COM7", *options]), SETTINGS).options


def test_without_options_the_adapter_switches_direction_and_both_wires_are_on() -> None:
    assert chosen() == PortOptions(Direction.HARDWARE, dtr=True, rts=True, low_latency=False)


@pytest.mark.parametrize(
    ("options", "wanted"),
    [
        (("--direction", "rts"), PortOptions(direction=Direction.RTS)),
        (("--direction", "kernel"), PortOptions(direction=Direction.KERNEL)),
        (("--no-dtr",), PortOptions(dtr=False)),
        (("--no-rts",), PortOptions(rts=False)),
        (("--low-latency",), PortOptions(low_latency=True)),
    ],
)
def test_each_option_changes_one_thing(options: tuple[str, ...], wanted: PortOptions) -> None:
    assert chosen(*options) == wanted


RESTART = ("ask", "--port", "demo:greenhouse", "--clock", "virtual", "--address", "11", "--function", "08")


def test_what_disturbs_a_device_needs_the_second_confirmation() -> None:
    """Application V1.1b3, 6.8: sub-function 01 restarts communications."""
    ended = ran(*RESTART, "--sub-function", "01", "--data", "0000")

    assert ended.status == 2
    assert "--disturb" in ended.err


def test_with_the_second_confirmation_a_simulated_device_may_be_disturbed() -> None:
    ended = ran(*RESTART, "--sub-function", "01", "--data", "0000", "--disturb")

    assert "second confirmation" not in ended.err
    assert ended.status in (0, 1)
