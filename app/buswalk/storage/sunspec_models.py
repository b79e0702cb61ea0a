"""Where the open model files of the SunSpec standard lie: in the package pysunspec2 (Apache-2.0)."""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path

from buswalk.domain.registers.sunspec.definition import ModelDefinition, model_definition

PACKAGE = "sunspec2"


def sunspec_model(number: int) -> ModelDefinition | None:
    """Return the definition of a model; None for one that is not in the package, such as a maker's own."""
    path = models_folder() / f"model_{number}.json"
    try:
        return model_definition(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError):
        return None


def models_folder() -> Path:
    """Return the folder with a file a model; the package itself is not imported, as it opens ports."""
    spec = find_spec(PACKAGE)
    places = spec.submodule_search_locations if spec is not None else None
    return Path(next(iter(places)), "models", "json") if places else Path()
