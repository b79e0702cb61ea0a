"""What is raised inside a search when it must not ask on for the sake of another client."""

from __future__ import annotations

from typing import TypeAlias

from buswalk.domain.listening.client_harm import OtherClientSuffers


class NewcomerHeard(Exception):
    """Another client has begun to ask while we did."""


class SufferingHeard(Exception):
    """The other client's traffic suffers."""

    def __init__(self, suffers: OtherClientSuffers) -> None:
        super().__init__(suffers.harm.value)
        self.suffers = suffers


GaveWay: TypeAlias = NewcomerHeard | SufferingHeard
