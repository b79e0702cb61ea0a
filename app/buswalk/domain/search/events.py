"""What a search says while it runs and what it found. Frozen events; wording is left to who shows them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.modbus.functions.read_device_identification import IdentificationObject
from buswalk.domain.registers.fingerprint import KnownType
from buswalk.domain.search.answer_shares import NOT_COUNTED, AnswerShares
from buswalk.domain.search.prior import Mistaken
from buswalk.domain.search.probe import Probe, TwoStopBits
from buswalk.domain.search.thorough import Pass


class Verdict(Enum):
    """What listening without sending has shown."""

    SILENT = "silent"
    TRAFFIC = "traffic"
    """Whole frames: another client is alive."""
    BABBLE = "babble"
    """Bytes that make no frame at this speed."""
    HELD = "held"
    """A break without end: the line is held at space."""


class AmongOthers(Enum):
    """How a search behaves where another client is alive, once its user has allowed it."""

    IN_PAUSES = "in_pauses"
    """Each request between the client's cycles; it stops where that traffic suffers."""
    TAKES_OVER = "takes_over"
    """As if alone, but for waiting until the line is quiet: the client was switched off, or may fail."""


class Doubt(Enum):
    """Why a found device is not simply there."""

    ANSWERS_SOMETIMES = "answers_sometimes"
    NEEDS_A_PAUSE = "needs_a_pause"
    SILENT_AT_FIRST = "silent_at_first"
    """It answers quickly, and yet kept silent when asked the same before: it may look for the speed by itself."""
    DAMAGED_REPLIES = "damaged_replies"
    SECOND_ANSWER = "second_answer"
    ANSWERS_DIFFER = "answers_differ"
    """To the same question once data, once a refusal."""
    ANSWERS_AS_ANOTHER = "answers_as_another"
    DOES_NOT_CHECK_FRAMING = "does_not_check_framing"


@dataclass(frozen=True, slots=True)
class Identity:
    """What a device says of itself; empty where it says nothing.

    Attributes:
        profiles: Names of the profiles whose fingerprint it fits.
    """

    objects: tuple[IdentificationObject, ...] = ()
    server_id: bytes = b""
    profiles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ListenedFirst:
    """The line was listened to before the first probe."""

    settings: SerialSettings
    seconds: float
    verdict: Verdict
    byte_count: int


@dataclass(frozen=True, slots=True)
class LivingLine:
    """Something is alive on this line; nothing was sent."""

    verdict: Verdict
    sentence: str


@dataclass(frozen=True, slots=True)
class SettingsNotCarried:
    """Neither speed nor framing reach the line through this port, so one setting is asked."""

    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class FramingNotCarried:
    """This port carries speed but no framing, so one framing a speed is asked."""

    settings: tuple[SerialSettings, ...]


@dataclass(frozen=True, slots=True)
class AskedRested:
    """Nothing answered: all are asked once more in the likeliest setting, each after a rest of `rest_s`.

    Some servers take the request after one for an absent neighbour for its answer, and lose it.
    """

    settings: SerialSettings
    addresses: int
    rest_s: float
    needed_s: float


@dataclass(frozen=True, slots=True)
class AdapterHearsItself:
    """Our own requests come back through this adapter; they are taken off before an answer is looked for."""

    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class LineChatters:
    """Bytes that are no reply have followed every request for a while: waits are short from now on.

    Attributes:
        seconds, requests: For so long, behind so many requests one after the other.
    """

    settings: SerialSettings
    seconds: float
    requests: int


@dataclass(frozen=True, slots=True)
class EverythingIsAnswered:
    """Bytes follow every request at these settings, and none come while nothing is asked: somebody answers it all.

    From now on only whole right replies count here.
    """

    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class PassBegan:
    """A thorough search asks at a speed in another pass."""

    baud_rate: int
    of_pass: Pass


@dataclass(frozen=True, slots=True)
class SearchProgress:
    """How far the search is: `asked` of `planned` requests.

    Attributes:
        left_s: What the rest takes in line time if nothing answers: waits, characters and latency, computed.
    """

    asked: int
    planned: int
    settings: SerialSettings
    left_s: float


@dataclass(frozen=True, slots=True)
class SearchForecast:
    """When something is likely to be found, in line time from now if nothing answers before; computed from the prior.

    Attributes:
        asked: So many requests had been asked: 0 is the forecast before the first.
        half_s, most_s, nearly_all_s: When 50, 80 and 90 of 100 devices that are found at all would have been found.
        whole_s: When all is asked.
    """

    asked: int
    half_s: float
    most_s: float
    nearly_all_s: float
    whole_s: float


@dataclass(frozen=True, slots=True)
class TwoStopBitsLearnt:
    """A device of known parity has shown whether the adapter sends the second stop bit that it is set to.

    Without it a request reaches devices of one framing only, and each framing is asked by itself.
    """

    is_sent: bool
    shown_by: int


@dataclass(frozen=True, slots=True)
class SilentAskedWith:
    """Silent addresses and with which functions they were asked at these settings."""

    functions: tuple[int, ...]
    settings: tuple[SerialSettings, ...]
    addresses: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class HeldStill:
    """Bytes came that no request explains: the last requests are asked again, one by one."""

    settings: SerialSettings
    addresses: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """A device answers here.

    Attributes:
        settings: As asked; without parity, 8N1 and 8N2 cannot be told apart.
        answered, confirmations: So many of so many further questions were answered.
        exchange_numbers: The exchanges that prove it.
        shares: What many more questions brought, where two devices were suspected; nothing asked elsewhere.
    """

    server_address: int
    settings: SerialSettings
    function: int
    is_refusal: bool
    answered: int
    confirmations: int
    doubts: tuple[Doubt, ...]
    identity: Identity
    exchange_numbers: tuple[int, ...]
    shares: AnswerShares = NOT_COUNTED


@dataclass(frozen=True, slots=True)
class AnswersEverywhere:
    """Something answers whatever the address: one finding, not 247.

    Attributes:
        exception_code: With which all addresses refuse; 0 if they answer with data.
    """

    settings: SerialSettings
    addresses_tried: tuple[int, ...]
    asked: int
    exception_code: int


@dataclass(frozen=True, slots=True)
class Unclear:
    """Something answers here, but never in a whole frame."""

    address: int
    settings: SerialSettings
    sentence: str
    exchange_numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class GoesBetween:
    """Requests leave between the cycles of another client.

    Attributes:
        left_out: Settings at which no request fits into its longest pause.
    """

    cycle: CycleHeard
    left_out: tuple[SerialSettings, ...]


@dataclass(frozen=True, slots=True)
class CycleLeavesNoRoom:
    """Another client leaves no pause into which a request fits: nothing was asked."""

    cycle: CycleHeard
    needed_s: float


class SearchEnd(Enum):
    """Why a search ended."""

    ALL_ASKED = "all_asked"
    LIVING_LINE = "living_line"
    NEVER_QUIET = "never_quiet"
    OTHER_CLIENT = "other_client"
    """Another client's traffic suffers, or leaves no room."""


@dataclass(frozen=True, slots=True)
class SearchEnded:
    """The search is over."""

    end: SearchEnd
    asked: int
    devices: int
    seconds: float
    sentence: str


SearchEvent: TypeAlias = (
    ListenedFirst
    | LivingLine
    | SettingsNotCarried
    | FramingNotCarried
    | AskedRested
    | AdapterHearsItself
    | LineChatters
    | EverythingIsAnswered
    | PassBegan
    | SearchProgress
    | SearchForecast
    | TwoStopBitsLearnt
    | SilentAskedWith
    | HeldStill
    | Found
    | AnswersEverywhere
    | Unclear
    | GoesBetween
    | CycleLeavesNoRoom
    | OtherClientSuffers
    | SearchEnded
)


class Depth(Enum):
    """How much a search asks before it calls an address silent."""

    QUICK = "quick"
    """Each request once with a short wait, in the order of what it gains a second."""
    THOROUGH = "thorough"
    """Speed by speed, each cell in its own framing, in passes that catch slow and fussy devices."""


@dataclass(frozen=True, slots=True)
class SearchMemory:
    """What has been asked and found so far: a search that is given it asks nothing twice.

    Attributes:
        passed: What was asked in which pass of a thorough search.
        everywhere: Settings at which every address answers, with the exception code of it (0: data).
        unclear: Address and settings at which something answers, but never whole.
    """

    asked: frozenset[Probe] = frozenset()
    found: tuple[Found, ...] = ()
    passed: frozenset[tuple[Probe, Pass]] = frozenset()
    everywhere: frozenset[tuple[SerialSettings, int]] = frozenset()
    unclear: frozenset[tuple[int, SerialSettings]] = frozenset()
    two_stop_bits: TwoStopBits = TwoStopBits.NOT_KNOWN


@dataclass(frozen=True, slots=True)
class SearchPlan:
    """What to search.

    Attributes:
        settings: With their weights, as they are asked.
        mistaken: Where mistakes at their switches would put planned devices; asked earlier than the rest.
        wait_s: From the end of a request to the first byte; latency is added by who asks.
        long_wait_s: The same for confirmations, and how long energy is listened to.
        listen_s: Before the first probe; 0 where the device is alone on a lead.
        may_probe_living_line: The user has said that another client may be disturbed.
        among_others: How, then.
        known_types: Fingerprints by which a device that answers is recognised.
    """

    addresses: tuple[int, ...]
    settings: dict[SerialSettings, float]
    planned: frozenset[int] = frozenset()
    mistaken: Mistaken = ()
    wait_s: float = 0.060
    long_wait_s: float = 1.5
    listen_s: float = 10.0
    may_probe_living_line: bool = False
    depth: Depth = Depth.QUICK
    among_others: AmongOthers = AmongOthers.IN_PAUSES
    memory: SearchMemory = field(default_factory=SearchMemory)
    known_types: tuple[KnownType, ...] = ()

    def __post_init__(self) -> None:
        if not self.addresses or not self.settings:
            raise ValueError("a search needs at least one address and one setting")
        for address in self.addresses:
            if not 1 <= address <= 247:
                raise ValueError(f"address {address} is no server's: servers have 1 to 247")
