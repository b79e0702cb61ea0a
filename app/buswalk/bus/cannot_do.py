"""A command that is not carried out."""

from __future__ import annotations

NO_PORT = "no port is open: open one first"


class CannotDo(Exception):
    """A command that is refused, in one sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
