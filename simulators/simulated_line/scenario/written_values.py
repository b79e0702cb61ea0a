"""Values as they are written in a scenario file, each with what to write where it is wrong."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from buswalk.domain.line.serial_settings import SerialSettings


def _settings(value: object) -> SerialSettings:
    if isinstance(value, SerialSettings):
        return value
    if not isinstance(value, str) or len(value.split()) != 2 or not value.split()[0].isdigit():
        raise ValueError("write speed and framing, such as '9600 8N1'")
    speed, framing = value.split()
    return SerialSettings.of(int(speed), framing)


def _hex(value: object) -> object:
    if isinstance(value, str):
        try:
            is_right = bool(bytes.fromhex(value))
        except ValueError:
            is_right = False
        if not is_right:
            raise ValueError("write bytes in hex, such as '25 03 00 00'")
    return value


def by_value(kind: type) -> BeforeValidator:
    """Take one of the values of an enumeration, or say which there are."""

    def check(value: object) -> object:
        try:
            return kind(value)
        except ValueError:
            choices = ", ".join(repr(one.value) for one in kind)  # type: ignore[attr-defined]
            raise ValueError(f"choose one of {choices}") from None

    return BeforeValidator(check)


Hex = Annotated[str, BeforeValidator(_hex)]
Settings = Annotated[SerialSettings, BeforeValidator(_settings)]
Share = Annotated[float, Field(ge=0, le=1)]
Seconds = Annotated[float, Field(ge=0)]
Address = Annotated[int, Field(ge=1, le=247)]
