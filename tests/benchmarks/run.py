"""`python3 tests bench [NAME] [--json]`: runs the benchmarks and prints their figures. Never fails on time."""

from __future__ import annotations

import importlib
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks.figure import Figure


def benchmark_names() -> tuple[str, ...]:
    """Return the names of the benchmarks: files bench_NAME.py beside this one."""
    return tuple(sorted(path.stem.removeprefix("bench_") for path in Path(__file__).parent.glob("bench_*.py")))


def figures_of(name: str) -> Iterator[Figure]:
    """Yield the figures of one benchmark as they are measured."""
    module = importlib.import_module(f"tests.benchmarks.bench_{name}")
    figures: Callable[[], Iterator[Figure]] = module.figures
    yield from figures()


def table_line(figure: Figure) -> str:
    """Return a figure as people read it."""
    own = f"{figure.benchmark:16} {figure.figure:32} {figure.value:12.6g} {figure.unit:4}"
    if figure.ratio is None or figure.peer_value is None:
        return own
    return f"{own}  {figure.peer} {figure.peer_value:.6g} {figure.unit}, ratio {figure.ratio:.2f}"


def main(arguments: list[str]) -> int:
    """Run what is named, or all."""
    is_json = "--json" in arguments
    chosen = [one for one in arguments if not one.startswith("--")] or list(benchmark_names())
    unknown = [one for one in chosen if one not in benchmark_names()]
    if unknown:
        sys.stderr.write(f"no benchmark is called {unknown[0]}: choose among {', '.join(benchmark_names())}\n")
        return 2
    for name in chosen:
        for figure in figures_of(name):
            print(json.dumps(figure.as_json()) if is_json else table_line(figure), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
