"""What a quick search asks of each address at each setting: at least two functions, each where it costs least.

A one-parity request asks two settings at once. Where it is function 01, 04 is left out where little is hoped for.
Likely addresses, and all addresses at a likely setting or one where something was found, are asked with 04 as well: a
device that knows input registers only may be silent on all else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.one_parity import is_odd_weight
from buswalk.domain.search.prior import Mistaken, is_usual_address
from buswalk.domain.search.probe import Probe, ProbeFunction, Shape, TwoStopBits, without_parity

LIKELY_SETTING_SHARE = 0.15
"""Of the weight of all settings asked."""
Asked = tuple[ProbeFunction, Shape]
_03 = (ProbeFunction.HOLDING_REGISTERS, Shape.ORDINARY)
_04 = (ProbeFunction.INPUT_REGISTERS, Shape.ORDINARY)
_ONE_PARITY_01 = (ProbeFunction.COILS, Shape.ONE_PARITY)
_ONE_PARITY_03 = (ProbeFunction.HOLDING_REGISTERS, Shape.ONE_PARITY)


@dataclass(frozen=True, slots=True)
class Learnt:
    """What is known beside the prior.

    Attributes:
        planned: Addresses of the plan.
        mistaken: Where its devices would be by a mistake.
        found_at: Settings at which something was found.
        asked: What has been asked, and was not answered.
    """

    planned: frozenset[int] = frozenset()
    found_at: frozenset[SerialSettings] = frozenset()
    two_stop_bits: TwoStopBits = TwoStopBits.NOT_KNOWN
    asked: frozenset[Probe] = field(default_factory=frozenset)
    mistaken: Mistaken = ()


@dataclass(frozen=True, slots=True)
class AddressKind:
    """What decides how an address is asked, apart from the setting."""

    is_odd: bool
    is_likely: bool

    @classmethod
    def of(cls, server_address: int, planned: frozenset[int]) -> AddressKind:
        """Return the kind of an address."""
        return cls(is_odd_weight(server_address), server_address in planned or is_usual_address(server_address))


def asked_at(
    one: SerialSettings, settings: Mapping[SerialSettings, float], kind: AddressKind, learnt: Learnt
) -> tuple[Asked, ...]:
    """Return what is asked at this setting, given all settings of the search with their weights."""
    partner = SerialSettings(one.baud_rate, Parity.EVEN if kind.is_odd else Parity.ODD, 1)
    pair = (without_parity(one.baud_rate), partner)
    is_paired = all(half in settings for half in pair) and learnt.two_stop_bits is not TwoStopBits.NOT_SENT
    if not is_paired or one not in pair:
        return _03, _04
    is_whole = kind.is_likely or one in learnt.found_at
    is_first = one.parity is Parity.NONE
    if kind.is_odd:
        is_whole = is_whole or settings[one] >= LIKELY_SETTING_SHARE * sum(settings.values())
        return (*([_ONE_PARITY_01] if is_first else []), _03, *([_04] if is_whole else []))
    return (*([_ONE_PARITY_03] if is_first else []), _04, *([_03] if is_whole else []))


def quick_probes(addresses: Iterable[int], settings: Mapping[SerialSettings, float], learnt: Learnt) -> Iterator[Probe]:
    """Yield every request of a quick search, in no order that matters; what was asked is among them."""
    by_kind = _by_kind(addresses, learnt.planned)
    for one in settings:
        for kind, of_kind in by_kind.items():
            for function, shape in asked_at(one, settings, kind, learnt):
                yield from (Probe(one, address, function, shape) for address in of_kind)


def requests_at(
    addresses: Iterable[int], settings: Mapping[SerialSettings, float], learnt: Learnt
) -> dict[SerialSettings, int]:
    """Return how many requests a quick search sends at each setting."""
    by_kind = _by_kind(addresses, learnt.planned)
    return {
        one: sum(len(of_kind) * len(asked_at(one, settings, kind, learnt)) for kind, of_kind in by_kind.items())
        for one in settings
    }


def functions_by_setting(asked: Iterable[Probe]) -> dict[tuple[int, SerialSettings], frozenset[int]]:
    """Return with which functions each address was asked at each setting that a request reached."""
    functions: dict[tuple[int, SerialSettings], set[int]] = {}
    for probe in asked:
        for one in probe.reaches():
            functions.setdefault((probe.server_address, one), set()).add(int(probe.function))
    return {place: frozenset(codes) for place, codes in functions.items()}


def _by_kind(addresses: Iterable[int], planned: frozenset[int]) -> dict[AddressKind, list[int]]:
    by_kind: dict[AddressKind, list[int]] = {}
    for address in addresses:
        by_kind.setdefault(AddressKind.of(address, planned), []).append(address)
    return by_kind
