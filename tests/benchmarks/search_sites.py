"""500 random sites searched thoroughly: what was missed, invented, wrongly framed, flagged. Progress goes to stderr."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.figure import Figure
from tests.fakes.judged_site import JudgedSite, judged
from tests.fakes.random_sites import random_site

SITES = 500
SPEEDS = 2
HIGHEST_ADDRESS = 247
STRONGER = "stronger_wins"


def site_figures(part: int = 1, parts: int = 1) -> Iterator[Figure]:
    """Yield the figures of one part of all sites, counted from 1; failing sites are named as they come."""
    numbers = range(part - 1, SITES, parts)
    results: list[JudgedSite] = []
    with tempfile.TemporaryDirectory() as folder:
        for count, number in enumerate(numbers, start=1):
            result = judged(random_site(number, SPEEDS, HIGHEST_ADDRESS), Path(folder))
            results.append(result)
            for fault in result.faults:
                print(f"site {number}: {fault}", file=sys.stderr, flush=True)
            print(f"sites: {count} of {len(numbers)}", end="\r", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    yield from _summed(results)


def _summed(results: list[JudgedSite]) -> Iterator[Figure]:
    counts = {
        "sites": len(results),
        "site_devices": sum(len(one.site.devices) for one in results),
        "devices_missed": sum(len(one.missed) for one in results),
        "devices_missed_beyond_claim": sum(len(one.missed_beyond_claim) for one in results),
        "devices_invented": sum(len(one.invented) for one in results),
        "framing_wrong": sum(len(one.framing_wrong) for one in results),
        "clean_sites": sum(one.is_clean for one in results),
        "clean_sites_flagged": sum(one.is_clean and bool(one.flagged) for one in results),
    }
    for name, count in counts.items():
        yield Figure("search", name, float(count), "")
    twins = [one for one in results if one.has_twins]
    for kind, group in (
        ("twins", [one for one in twins if one.site.overlap != STRONGER]),
        ("stronger_twins", [one for one in twins if one.site.overlap == STRONGER]),
    ):
        flagged = sum(one.is_twin_flagged for one in group)
        yield Figure("search", f"sites_with_{kind}", float(len(group)), "")
        yield Figure("search", f"{kind}_flagged", float(flagged), "")
        if group:
            yield Figure("search", f"{kind}_flagged_share", flagged / len(group), "")
