"""Turns what pyserial and the system raise into `PortError`, once, with a sentence that says what to do."""

from __future__ import annotations

import errno
from pathlib import Path

from buswalk.domain.line.port_error import PortError, PortProblem

FOREIGN_ERRORS: tuple[type[BaseException], ...]
try:
    import termios

    FOREIGN_ERRORS = (OSError, termios.error, ValueError)
except ImportError:  # Windows has no termios
    FOREIGN_ERRORS = (OSError, ValueError)


def opening_failed(port: str, reason: BaseException) -> PortError:
    """Return why a port cannot be opened, told by what was raised and by what the file system says of it."""
    number = _error_number(reason)
    text = str(reason)
    if isinstance(reason, PortError):
        return reason
    if number == errno.ENOENT or (number is None and "could not find" in text.lower()):
        return PortError(
            port, PortProblem.MISSING, f"there is no port {port}: plug the adapter in, or see which ports there are"
        )
    if number == errno.EACCES and not _is_windows_name(port):
        return PortError(port, PortProblem.FORBIDDEN, _forbidden_sentence(port))
    if number in (errno.EBUSY, errno.EAGAIN, errno.EACCES) or "exclusively lock" in text:
        return PortError(
            port, PortProblem.BUSY, f"{port} is in use by another program: close that program, then open it again"
        )
    if number == errno.ENXIO or number == errno.EIO:
        return PortError(port, PortProblem.VANISHED, f"{port} is there but its adapter is gone: plug it in again")
    if Path(port).exists() and not Path(port).is_char_device():
        return PortError(port, PortProblem.NOT_A_PORT, f"{port} is a file, not a serial port: check the name")
    if "not a tty" in text.lower() or "inappropriate ioctl" in text.lower() or number == errno.ENOTTY:
        return PortError(port, PortProblem.NOT_A_PORT, f"{port} is not a serial port: check the name")
    return PortError(port, PortProblem.MISSING, f"{port} cannot be opened ({text}): check adapter and name")


def vanished(port: str, reason: BaseException) -> PortError:
    """Return that an open port was lost."""
    if isinstance(reason, PortError):
        return reason
    return PortError(port, PortProblem.VANISHED, f"{port} is gone: plug the adapter in again")


def settings_refused(port: str, what: str) -> PortError:
    """Return that the port does not take these settings."""
    return PortError(
        port, PortProblem.SETTINGS_REFUSED, f"{port} does not take {what}: choose another speed or framing"
    )


def _error_number(reason: BaseException) -> int | None:
    number = getattr(reason, "errno", None)
    if isinstance(number, int):
        return number
    cause = reason.__cause__ or reason.__context__
    if cause is not None and cause is not reason:
        return _error_number(cause)
    first = reason.args[0] if reason.args else None
    return first if isinstance(first, int) else None


def _is_windows_name(port: str) -> bool:
    return port.upper().startswith(("COM", "\\\\.\\"))


def _forbidden_sentence(port: str) -> str:
    group = _owning_group(port)
    if group is None:
        return f"you may not open {port}: ask for the right to use it"
    return (
        f"you may not open {port}: it belongs to the group '{group}'; "
        f"run 'sudo usermod -aG {group} $USER' and log in again"
    )


def _owning_group(port: str) -> str | None:
    try:
        return Path(port).group()
    except (OSError, KeyError, NotImplementedError):
        return None
