"""What `sunspec` says: the chain, then each model with its values."""

from __future__ import annotations

from buswalk.cli.reply_words import count_words
from buswalk.domain.registers.sunspec.definition import ModelDefinition
from buswalk.domain.registers.sunspec.events import ChainRead, ModelRead, NoChain
from buswalk.domain.registers.sunspec.points import points_of
from buswalk.domain.registers.value_words import bits_in_words, read_words

NAME_COLUMNS = 26


def no_chain_line(event: NoChain) -> str:
    """Return where no marker stands."""
    places = ", ".join(map(str, event.bases))
    return f"{event.server_address} has no self-describing map: no marker at register {places} (as sent)"


def chain_lines(event: ChainRead) -> list[str]:
    """Return the models of a device."""
    chain = event.chain
    lines = [f"{event.server_address}: marker at {chain.base}, {count_words(len(chain.models), 'model')}"]
    if chain.problem:
        lines.append(f"  the chain breaks off: {chain.problem}")
    return lines


def model_lines(event: ModelRead, definition: ModelDefinition | None) -> list[str]:
    """Return a model with its values; one without definition with its place only."""
    model = event.model
    place = f"{model.first} to {model.first + model.quantity - 1}"
    if definition is None:
        return [f"model {model.number}, {place}: not in the standard's files, its registers are in the record"]
    lines = [f"model {model.number}, {definition.words or definition.name}, {place}"]
    for point in points_of(definition, model, event.words):
        start = point.register_address - model.first
        words = event.words[start : start + point.value_type.words]
        said = "; ".join((read_words(point, words), *bits_in_words(point, words)))
        note = f"  ({point.notes})" if point.notes else ""
        lines.append(f"  {point.register_address:5}  {point.words:{NAME_COLUMNS}}  {said}{note}")
    if len(event.words) < model.quantity:
        lines.append(f"  {model.quantity - len(event.words)} registers of it could not be read")
    return lines
