"""Limits on start and quantity that many function codes share (Application V1.1b3, 4.4 and 6)."""

from __future__ import annotations

HIGHEST_REGISTER_ADDRESS = 0xFFFF


def require_span(register_address: int, quantity: int, largest_quantity: int) -> None:
    """Refuse a span that the standard refuses.

    Raises:
        ValueError: The start is outside 0 to 65535, the quantity outside 1 to the limit, or the
            end lies beyond 65535.
    """
    require_register_address(register_address)
    if not 1 <= quantity <= largest_quantity:
        raise ValueError(f"quantity {quantity} is outside 1 to {largest_quantity}")
    if register_address + quantity - 1 > HIGHEST_REGISTER_ADDRESS:
        raise ValueError(f"{quantity} from {register_address} ends beyond {HIGHEST_REGISTER_ADDRESS}")


def require_register_address(register_address: int) -> None:
    """Refuse an address that does not fit 16 bits.

    Raises:
        ValueError: It is outside 0 to 65535.
    """
    if not 0 <= register_address <= HIGHEST_REGISTER_ADDRESS:
        raise ValueError(f"register address {register_address} is outside 0 to {HIGHEST_REGISTER_ADDRESS}")


def require_word(value: int, what: str) -> None:
    """Refuse a value that does not fit 16 bits.

    Raises:
        ValueError: It is outside 0 to 65535.
    """
    if not 0 <= value <= 0xFFFF:
        raise ValueError(f"{what} {value} is outside 0 to 65535")
