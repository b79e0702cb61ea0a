"""Maps of simulated devices, learnt over the line in virtual time: what the scenario draws is what is learnt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.registers.map_learning.fewest_reads import fewest_reads
from buswalk.domain.registers.map_learning.from_exchanges import learnt_reads
from buswalk.domain.registers.map_learning.plan import (
    LearningBegan,
    LearningGivenUp,
    LearnPlan,
    MapLearnt,
    MapProgress,
    TableNotServed,
)
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import LivingLine
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.map_learning import MapLearner
from simulated_line.clocks import VirtualClock
from tests.fakes.asked_site import N81, written_site
from tests.fakes.drawn_map import MapLaw

HOLDING = Table.HOLDING_REGISTERS
SURE = "read with the maker's leave"
CLIENT = '[[client]]\nname = "other"\nsettings = "9600 8N1"\nrequests = ["09 03 00 00 00 01"]\nperiod_s = 1.0\n'


ASIDE = 1000
"""Where maps are drawn: the plain device has registers of its own from 0 to 15."""


def aside(spans: Sequence[Block]) -> tuple[Block, ...]:
    return tuple(Block(one.table, one.first + ASIDE, one.last + ASIDE) for one in spans)


def device_text(spans: Sequence[Block], habits: str = "") -> str:
    cells = "".join(
        f'[[device.cell]]\ntable = "{one.table.value}"\naddress = {one.first}\nwords = {[7] * one.quantity}\n'
        for one in spans
    )
    return f'[[device]]\nname = "unknown"\ntype = "plain"\naddress = 21\nsettings = "9600 8N1"\n{habits}{cells}'


def plan_for(*blocks: Block) -> LearnPlan:
    return LearnPlan(21, N81, blocks, SURE, wait_s=0.2, listen_s=0.0)


class Learning:
    """A learner over a site, run to its end."""

    def __init__(self, folder: Path, text: str, plan: LearnPlan) -> None:
        site = written_site(folder, text)
        clock = VirtualClock(site.timeline)
        self.line_events: list[LineEvent] = []

        def take(event: LineEvent) -> None:
            self.line_events.append(event)

        asker = Asker(site.open_line("demo", N81, clock.keep_pace), clock, take)
        self.learner = MapLearner(asker, plan)
        self.events = list(self.learner.run())

    @property
    def learnt(self) -> MapLearnt:
        (one,) = [one for one in self.events if isinstance(one, MapLearnt)]
        return one

    @property
    def reads(self) -> int:
        return sum(isinstance(one, ExchangeDone) for one in self.line_events)


@pytest.mark.parametrize("seed", range(3))
def test_a_drawn_map_is_learnt_over_the_line_as_it_is(tmp_path: Path, seed: int) -> None:
    law = MapLaw((4, 60), (40, 200), addresses=800)
    spans = aside(law.draw(seed))
    (block,) = aside([law.block])

    learning = Learning(tmp_path, device_text(spans), plan_for(block))

    assert learning.learnt.spans == spans
    assert learning.reads <= 1.3 * fewest_reads(block, spans, 4, 125)


def test_a_device_that_refuses_by_silence_is_learnt_all_the_same_and_it_is_said(tmp_path: Path) -> None:
    """Some devices stay silent where others send exception 02 (habit of simulated devices, common practice)."""
    spans = (Block(HOLDING, 110, 129), Block(HOLDING, 140, 147))
    habits = '[device.habits]\noutside_map = "silence"\n'

    learning = Learning(tmp_path, device_text(spans, habits), plan_for(Block(HOLDING, 108, 160)))

    assert learning.learnt.spans == spans
    assert learning.learnt.refuses_by_silence


def test_a_limit_of_sixteen_registers_a_read_is_found_out(tmp_path: Path) -> None:
    habits = "[device.habits]\nlargest_quantity = 16\n"
    spans = (Block(HOLDING, 100, 199),)

    learning = Learning(tmp_path, device_text(spans, habits), plan_for(Block(HOLDING, 100, 220)))

    assert learning.learnt.spans == spans
    assert learning.learnt.largest_read == 16


def test_a_table_whose_function_is_unknown_to_the_device_is_said(tmp_path: Path) -> None:
    """Exception 01 (Application V1.1b3, 7)."""
    habits = "[device.habits]\nfunctions = [3]\n"
    text = device_text((), habits)

    learning = Learning(tmp_path, text, plan_for(Block(Table.INPUT_REGISTERS, 0, 50)))

    assert [one.table for one in learning.events if isinstance(one, TableNotServed)] == [Table.INPUT_REGISTERS]


def test_nobody_there_is_given_up_after_eight_places(tmp_path: Path) -> None:
    learning = Learning(tmp_path, device_text(()), replace(plan_for(Block(HOLDING, 0, 99)), server_address=22))

    assert any(isinstance(one, LearningGivenUp) for one in learning.events)
    assert learning.reads == 8 * 3


def test_a_living_line_is_not_asked_unless_that_was_allowed(tmp_path: Path) -> None:
    block = Block(HOLDING, 0, 9)
    text = device_text(()) + CLIENT

    kept_off = Learning(tmp_path, text, replace(plan_for(block), listen_s=5.0))
    allowed = Learning(tmp_path, text, replace(plan_for(block), listen_s=5.0, may_ask_living_line=True))

    assert kept_off.reads == 0
    assert isinstance(kept_off.events[-1], LivingLine)
    assert allowed.learnt.spans == (block,)


def test_a_learner_goes_on_from_recorded_exchanges_and_asks_nothing_again(tmp_path: Path) -> None:
    law = MapLaw((4, 60), (40, 200), addresses=500)
    text = device_text(aside(law.draw(1)))
    (block,) = aside([law.block])
    whole = Learning(tmp_path, text, plan_for(block))
    done = [one.exchange for one in whole.line_events if isinstance(one, ExchangeDone)]

    rest = Learning(tmp_path, text, replace(plan_for(block), memory=tuple(learnt_reads(done[:60], 21))))

    assert rest.learnt.spans == whole.learnt.spans
    assert rest.reads == whole.reads - 60


def test_the_forecast_stands_before_the_first_read_and_holds_what_it_took(tmp_path: Path) -> None:
    law = MapLaw((4, 60), (40, 200), addresses=500)

    learning = Learning(tmp_path, device_text(aside(law.draw(2))), plan_for(*aside([law.block])))

    began, *_ = [one for one in learning.events if isinstance(one, LearningBegan)]
    took_s = learning.learnt.at_s - began.at_s
    assert began.forecast.seconds_if_readable < took_s < 1.3 * began.forecast.seconds_if_absent
    left = [one.forecast.reads_if_absent for one in learning.events if isinstance(one, MapProgress)]
    assert left == sorted(left, reverse=True)


def test_learning_needs_a_confirmation() -> None:
    """Reading can clear counters or latch values: blind reading is off until somebody says so."""
    with pytest.raises(ValueError, match="clear counters"):
        replace(plan_for(Block(HOLDING, 0, 9)), confirmed=" ")
