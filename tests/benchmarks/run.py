"""`python3 tests bench [NAME] [--json]`: runs the benchmarks and prints their figures. Never fails on time.

`bench search --part K/N` goes over that part of its random sites only: they take an hour and more.
"""

from __future__ import annotations

import importlib
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks.figure import Figure
from tests.benchmarks.search_sites import site_figures


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


def part_of(arguments: list[str]) -> tuple[list[str], tuple[int, int] | None]:
    """Return the arguments without `--part K/N`, and K and N.

    Raises:
        ValueError: It is no part.
    """
    if "--part" not in arguments:
        return arguments, None
    place = arguments.index("--part")
    part, parts = (int(one) for one in arguments[place + 1].split("/"))
    if not 1 <= part <= parts:
        raise ValueError(f"part {part} of {parts} cannot be")
    return arguments[:place] + arguments[place + 2 :], (part, parts)


def main(arguments: list[str]) -> int:
    """Run what is named, or all."""
    try:
        arguments, part = part_of(arguments)
    except (ValueError, IndexError):
        sys.stderr.write("write --part 2/10 for the second of ten parts\n")
        return 2
    is_json = "--json" in arguments
    chosen = [one for one in arguments if not one.startswith("--")] or list(benchmark_names())
    unknown = [one for one in chosen if one not in benchmark_names()]
    if unknown:
        sys.stderr.write(f"no benchmark is called {unknown[0]}: choose among {', '.join(benchmark_names())}\n")
        return 2
    if part is not None and chosen != ["search"]:
        sys.stderr.write("only search has parts: bench search --part 2/10\n")
        return 2
    for name in chosen:
        for figure in site_figures(*part) if part is not None else figures_of(name):
            print(json.dumps(figure.as_json()) if is_json else table_line(figure), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
