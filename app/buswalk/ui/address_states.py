"""How an address stands in a search, as pictures and tables show it. Plain Python."""

from __future__ import annotations

from enum import Enum


class AddressState(Enum):
    """The states of a cell; the value is the word for it."""

    NOT_ASKED = "not asked yet"
    TO_ASK = "planned, to ask"
    SILENT = "silent"
    ANSWERED = "answered"
    NOT_IN_PLAN = "answered, not in plan"
    IN_DOUBT = "in doubt"
    PLANNED_SILENT = "planned but silent"
    DISTURBED = "disturbed: bytes that are no reply came"
    ALL_ALIKE = "answers as every address does"
    NO_DEVICE_ADDRESS = "no address of a device"

    @property
    def word(self) -> str:
        """As legends and accessible names say it."""
        return self.value
