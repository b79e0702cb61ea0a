"""What a strict model refuses in a file, said with file:line, what it is and what to do."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from difflib import get_close_matches
from typing import Any

from pydantic_core import ErrorDetails

from buswalk.located_toml import KeyPath, LocatedToml

LONGEST_SHOWN = 60
_QUOTED = re.compile(r"'([^']*)'")
_KINDS = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "list_type": "a list in [ ]",
    "dict_type": "a table in { }",
    "model_type": "a table in { }",
    "model_attributes_type": "a table in { }",
}


def refused_sentence(located: LocatedToml, error: ErrorDetails, keys_beside: Callable[[KeyPath], Iterable[str]]) -> str:
    """Return the sentence of one error.

    Args:
        keys_beside: Return the known keys of the table in which a key stands.
    """
    key_path = error["loc"]
    where, key = located.place_of(key_path), _spelled(key_path)
    match error["type"]:
        case "extra_forbidden":
            near = get_close_matches(str(key_path[-1]), list(keys_beside(key_path)), 1)
            hint = f"did you mean '{near[0]}'?" if near else "take it out"
            return f"{where}: '{key}' is not known here: {hint}"
        case "missing":
            return f"{where}: '{key}' is missing: write it"
    return f"{where}: '{key}' cannot be {_shown(error['input'])}: {_demand(error)}"


def _demand(error: ErrorDetails) -> str:
    context: dict[str, Any] = error.get("ctx", {})
    match error["type"]:
        case "literal_error":
            near = get_close_matches(str(error["input"]), _QUOTED.findall(context["expected"]), 1)
            return f"did you mean '{near[0]}'?" if near else f"write {context['expected']}"
        case "value_error":
            return str(context["error"])
        case "greater_than_equal":
            return f"it is at least {context['ge']}"
        case "less_than_equal":
            return f"it is at most {context['le']}"
        case "string_too_long" | "too_long":
            return f"it has at most {context['max_length']}"
        case "string_too_short" | "too_short":
            return f"it has at least {context['min_length']}"
        case "string_pattern_mismatch":
            return "write small letters, digits and _, a letter first"
        case kind if kind in _KINDS:
            return f"write {_KINDS[kind]}"
    return f"{error['msg'][0].lower()}{error['msg'][1:]}"


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."


def _spelled(key_path: KeyPath) -> str:
    """Return `point.3.unit`; people count from 1."""
    return ".".join(str(part + 1 if isinstance(part, int) else part) for part in key_path)
