"""What `learn` says."""

from __future__ import annotations

from buswalk.cli.find_words import duration_words
from buswalk.cli.reply_words import count_words
from buswalk.domain.registers.map_learning.plan import (
    LearningBegan,
    LearningForecast,
    LearningGivenUp,
    MapLearnt,
    MapProgress,
    TableNotServed,
)
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import LivingLine

TABLE_WORDS = {
    Table.COILS: "coils",
    Table.DISCRETE_INPUTS: "discrete inputs",
    Table.INPUT_REGISTERS: "input registers",
    Table.HOLDING_REGISTERS: "holding registers",
}


def learning_lines(event: object) -> list[str]:
    """Return what is said of an event; nothing of most."""
    match event:
        case LivingLine(sentence=sentence):
            return [f"{sentence}: --live-line asks all the same; a reply to us may then be taken for a reply to it"]
        case LearningBegan(blocks=blocks, forecast=before):
            asked = " and ".join(f"{TABLE_WORDS[one.table]} {one.first} to {one.last}" for one in blocks)
            return [f"{asked} of {event.server_address} at {event.settings}: {forecast_words(before)}"]
        case MapLearnt():
            return learnt_lines(event)
        case TableNotServed(table=table):
            return [f"{TABLE_WORDS[table]}: function {table.read_function:02X} is unknown to the device (exception 01)"]
        case LearningGivenUp(sentence=sentence):
            return [f"given up: {sentence}; what was learnt is in the record, --go-on goes on from it"]
        case _:
            return []


def forecast_words(forecast: LearningForecast) -> str:
    """Return what it takes at least and at most."""
    least = f"{count_words(forecast.reads_if_readable, 'read')}, {duration_words(forecast.seconds_if_readable)}"
    most = f"{count_words(forecast.reads_if_absent, 'read')}, {duration_words(forecast.seconds_if_absent)}"
    return f"{least} if all of it can be read, {most} if nothing can"


def progress_words(event: MapProgress) -> str:
    """Return how far it is, in one line."""
    share = 100 * (event.block.quantity - event.unknown) / event.block.quantity
    return f"{TABLE_WORDS[event.block.table]}: {share:.0f} % known, {event.readable} readable, {event.reads} reads"


def learnt_lines(event: MapLearnt) -> list[str]:
    """Return the spans, what limits reads, and what was not learnt."""
    readable = sum(one.quantity for one in event.spans)
    words = TABLE_WORDS[event.block.table]
    lines = [f"{words}: {readable} of {event.block.quantity} can be read, {count_words(event.reads, 'read')}"]
    lines += [f"  {span_words(one)}" for one in event.spans]
    if event.quantity_refused:
        lines.append(
            f"  {event.largest_read} in one request were read, {event.quantity_refused} refused though all are there"
        )
    if event.refuses_by_silence:
        lines.append("  what is not there is refused by silence, not by an exception")
    if event.unclear:
        lines.append(f"  unclear, neither read nor refused: {', '.join(map(span_words, event.unclear))}")
    if event.shortest_span > 1:
        missed = f"spans of fewer than {event.shortest_span} addresses may have been missed"
        lines.append(f"  {missed}: --shortest-span 1 asks every one")
    return lines


def span_words(span: Block) -> str:
    """Return the ends of a span and how long it is."""
    if span.quantity == 1:
        return f"{span.first}"
    return f"{span.first} to {span.last} ({span.quantity})"
