"""A command that is not carried out."""

from __future__ import annotations


class CannotDo(Exception):
    """A command that is refused, in one sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
