"""With which functions each silent address was asked: silence says nothing about those it was not asked with."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import functions_by_setting
from buswalk.domain.search.events import SilentAskedWith
from buswalk.jobs.searching.ledger import Ledger


def silent_asked_with(
    addresses: tuple[int, ...], settings: Collection[SerialSettings], ledger: Ledger
) -> Iterator[SilentAskedWith]:
    """Yield groups of silent addresses that were asked alike; those asked with most functions last.

    Where every address answers none is silent, and most were not asked; where bytes followed every request none is
    either.
    """
    tells = [one for one in settings if one not in ledger.everywhere and one not in ledger.given_up]
    asked = functions_by_setting(ledger.asked)
    alike: dict[tuple[frozenset[int], tuple[SerialSettings, ...]], list[int]] = {}
    for address in ledger.silent(addresses):
        at: dict[frozenset[int], list[SerialSettings]] = {}
        for one in tells:
            at.setdefault(asked.get((address, one), frozenset()), []).append(one)
        for functions, places in at.items():
            alike.setdefault((functions, tuple(places)), []).append(address)
    for (functions, where), silent in sorted(alike.items(), key=lambda item: (len(item[0][0]), sorted(item[0][0]))):
        yield SilentAskedWith(tuple(sorted(functions)), where, tuple(silent))
