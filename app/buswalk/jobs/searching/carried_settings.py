"""What a port that carries no framing, or no speed either, leaves of a plan; and how its speed is put to the test.

A pseudo terminal and some bridges take a speed, but whether anything behind them follows it, only a device can show.
"""

from __future__ import annotations

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.search.events import FramingNotCarried, SettingsNotCarried
from buswalk.domain.search.probe import Probe
from buswalk.jobs.asking.asker import Asker, AskTiming


def askable_settings(
    settings: dict[SerialSettings, float], traits: LineTraits
) -> tuple[dict[SerialSettings, float], tuple[SettingsNotCarried | FramingNotCarried, ...]]:
    """Return which settings are worth asking in on such a port, and what is to be said of it."""
    if traits.carries_speed and traits.carries_framing:
        return dict(settings), ()
    if not traits.carries_speed or len(_speeds(settings)) == 1:
        first = next(iter(settings))
        return {first: 1.0}, (SettingsNotCarried(first),)
    first_of: dict[int, SerialSettings] = {}
    weights: dict[SerialSettings, float] = {}
    for one, weight in settings.items():
        first = first_of.setdefault(one.baud_rate, one)
        weights[first] = weights.get(first, 0.0) + weight
    return weights, (FramingNotCarried(tuple(weights)),)


def answers_at_another_speed(
    asker: Asker, known: Probe, settings: dict[SerialSettings, float], timing: AskTiming
) -> bool:
    """Ask a known device at a speed that is not its own: an answer shows that nobody follows the speed."""
    other = next((one for one in settings if one.baud_rate != known.settings.baud_rate), None)
    if other is None:
        return False
    asker.use_settings(other)
    return isinstance(asker.ask(known.server_address, known.request(), timing).outcome, NormalReply | ExceptionReply)


def _speeds(settings: dict[SerialSettings, float]) -> set[int]:
    return {one.baud_rate for one in settings}
