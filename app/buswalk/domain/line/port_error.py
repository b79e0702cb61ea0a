"""Broken means: why a port cannot be had or was lost. What happens *on* the line is never an exception."""

from __future__ import annotations

from enum import Enum


class PortProblem(Enum):
    """Why a port cannot be used."""

    MISSING = "missing"
    BUSY = "busy"
    FORBIDDEN = "forbidden"
    NOT_A_PORT = "not_a_port"
    VANISHED = "vanished"
    SETTINGS_REFUSED = "settings_refused"
    UNREACHABLE = "unreachable"
    """The other end of a network port does not answer."""


class PortError(Exception):
    """A port that cannot be opened, or that was lost while open.

    Attributes:
        port: The port as the user named it.
        problem: Why.
        sentence: One sentence: what, and what to do about it.
    """

    def __init__(self, port: str, problem: PortProblem, sentence: str) -> None:
        super().__init__(sentence)
        self.port = port
        self.problem = problem
        self.sentence = sentence
