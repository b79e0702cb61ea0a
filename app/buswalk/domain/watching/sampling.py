"""What one exchange says of the points that it asked for: values, and how far each can be trusted."""

from __future__ import annotations

import math

from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround
from buswalk.domain.modbus.functions.read_coils import CoilsRead
from buswalk.domain.modbus.functions.read_discrete_inputs import DiscreteInputsRead
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead
from buswalk.domain.modbus.functions.read_input_registers import InputRegistersRead
from buswalk.domain.modbus.observation import MaybeOld, VeryEarly
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import AnyValue, Between, Point
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue, Value


def samples_taken(exchange: Exchange, points: tuple[Point, ...]) -> SamplesTaken:
    """Return one sample for each point; without a right reply they say why there is no value."""
    samples = _samples(exchange, points)
    at_s, uncertainty_s = _when(exchange)
    return SamplesTaken(exchange.number, exchange.server_address, exchange.settings, samples, at_s, uncertainty_s)


def plotted(value: Value) -> float:
    """Return the number that a plot shows of a value; NaN where there is none or it is a text."""
    match value:
        case NumberValue(value=number):
            return float(number)
        case BitValue(is_on=is_on):
            return float(is_on)
        case TimeValue(seconds=seconds):
            return float(seconds)
        case NoValue() | TextValue():
            return math.nan


def quality_of(point: Point, value: Value) -> Quality:
    """Return what the list says of a value that surely is the device's."""
    match value, point.range:
        case NoValue(), _:
            return Quality.NO_VALUE
        case NumberValue(value=number), Between(low=low, high=high) if not low <= number <= high:
            return Quality.OUT_OF_RANGE
        case _, Between() | AnyValue():
            return Quality.GOOD


def _samples(exchange: Exchange, points: tuple[Point, ...]) -> tuple[Sample, ...]:
    match exchange.outcome:
        case NormalReply(
            reply=HoldingRegistersRead(register_address=first, values=values)
            | InputRegistersRead(register_address=first, values=values)
        ):
            return tuple(_sample(one, values, first, exchange) for one in points)
        case NormalReply(
            reply=CoilsRead(register_address=first, states=states)
            | DiscreteInputsRead(register_address=first, states=states)
        ):
            return tuple(_sample(one, tuple(map(int, states)), first, exchange) for one in points)
        case ExceptionReply():
            return tuple(Sample(one.name, (), math.nan, Quality.REFUSED) for one in points)
        case _:
            return tuple(Sample(one.name, (), math.nan, Quality.NO_REPLY) for one in points)


def _sample(point: Point, values: tuple[int, ...], first: int, exchange: Exchange) -> Sample:
    words = values[point.register_address - first : point.last_register_address - first + 1]
    value = value_of(point, words)
    is_doubtful = any(isinstance(one, MaybeOld | VeryEarly) for one in exchange.observations)
    quality = Quality.DOUBTFUL if is_doubtful else quality_of(point, value)
    return Sample(point.name, words, plotted(value), quality)


def _when(exchange: Exchange) -> tuple[float, float]:
    """Return the middle of when the reply's first byte came, and half of the range; else when silence was concluded."""
    match exchange.sent, exchange.turnaround:
        case NeverSent(), _:
            return exchange.ended_s, 0.0
        case _, NoTurnaround():
            return exchange.ended_s, 0.0
        case sent, Turnaround(not_less_than_s=least_s, not_more_than_s=most_s):
            sent_s = (sent.end_not_before_s + sent.end_not_after_s) / 2
            return sent_s + (least_s + most_s) / 2, (most_s - least_s) / 2
