"""What an empty page says, as a value. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EmptyWords:
    """What an empty state says.

    Attributes:
        will_stand: What will stand here.
        fact: One fact that helps to decide: requests needed, minutes.
        button, key: The one main button.
        will_not: What it will not do, such as 'Reads only.'
    """

    will_stand: str
    fact: str
    button: str
    key: str
    will_not: str
