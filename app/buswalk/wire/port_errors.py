"""Turns what pyserial and the system raise into `PortError`, once, with a sentence that says what to do."""

from __future__ import annotations

import errno
import stat
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeAlias

from buswalk.domain.line.port_error import PortError, PortProblem

LOST_ERRORS: tuple[type[BaseException], ...]
if sys.platform == "win32":
    LOST_ERRORS = (OSError,)
else:
    import termios

    # Not an OSError, though it says the same.
    LOST_ERRORS = (OSError, termios.error)
FOREIGN_ERRORS: tuple[type[BaseException], ...] = (*LOST_ERRORS, ValueError)
"""What opening and setting may raise; pyserial uses ValueError for settings that it does not know."""

GONE_NUMBERS = (errno.EIO, errno.ENXIO, errno.ENODEV, errno.EBADF)
GROUP_MAY_USE = stat.S_IRGRP | stat.S_IWGRP

ListsNames: TypeAlias = Callable[[], Iterable[str]]
"""Names of the ports that the system lists now."""


def opening_failed(port: str, reason: BaseException, listed: ListsNames) -> PortError:
    """Return why a port cannot be opened, told by what was raised and by what the system says of the name.

    Windows raises the same for a port in use and for one whose adapter is gone: there the list of ports decides.
    """
    if is_windows_name(port):
        return _windows_opening_failed(port, listed)
    match error_number(reason):
        case errno.ENOENT | errno.ENOTDIR | errno.ELOOP | errno.ENAMETOOLONG:
            sentence = f"there is no port {port}: plug the adapter in, or see which ports there are"
            return PortError(port, PortProblem.MISSING, sentence)
        case errno.EACCES | errno.EPERM:
            return PortError(port, PortProblem.FORBIDDEN, _forbidden_sentence(port))
        case errno.EBUSY | errno.EAGAIN:
            return PortError(port, PortProblem.BUSY, _busy_sentence(port))
        case errno.EIO | errno.ENXIO | errno.ENODEV:
            sentence = f"nothing is behind the name {port}: plug its adapter in again, or choose another port"
            return PortError(port, PortProblem.VANISHED, sentence)
        case errno.ENOTTY | errno.EINVAL:
            return not_a_port(port)
        case _:
            return PortError(port, PortProblem.MISSING, f"{port} cannot be opened: check adapter and name")


def not_a_port(port: str) -> PortError:
    """Return that a name leads to something else than a serial port."""
    kind = _kind_of(port)
    return PortError(port, PortProblem.NOT_A_PORT, f"{port} is {kind}not a serial port: check the name")


def lost(port: str, reason: BaseException, listed: ListsNames) -> PortError:
    """Return that an open port was lost."""
    if isinstance(reason, TimeoutError):
        sentence = f"{port} takes no bytes any more: unplug its adapter and plug it in again"
    elif is_windows_name(port) and _is_listed(port, listed):
        sentence = f"{port} no longer works though it is still listed: unplug its adapter and plug it in again"
    else:
        sentence = f"{port} is gone: plug the adapter in again"
    return PortError(port, PortProblem.VANISHED, sentence)


def settings_refused(port: str, what: str) -> PortError:
    """Return that the port does not take these settings."""
    return PortError(
        port, PortProblem.SETTINGS_REFUSED, f"{port} does not take {what}: choose another speed or framing"
    )


def option_refused(port: str, what: str) -> PortError:
    """Return that the port does not know an expert setting."""
    return PortError(port, PortProblem.SETTINGS_REFUSED, f"{port} does not know {what}: open it without")


def is_gone(port: str, reason: BaseException, listed: ListsNames) -> bool:
    """Tell whether an error means that the adapter was unplugged.

    Windows says "access denied" or "wrong parameter" of an adapter that is away: there the list of ports decides.
    """
    if is_windows_name(port):
        return not _is_listed(port, listed)
    return error_number(reason) in GONE_NUMBERS


def error_number(reason: BaseException) -> int | None:
    """Return the system's number for an error, found in it or in what it was raised from."""
    number = getattr(reason, "errno", None)
    if isinstance(number, int):
        return number
    first = reason.args[0] if reason.args else None
    if isinstance(first, int):
        return first
    cause = reason.__cause__ or reason.__context__
    return error_number(cause) if cause is not None and cause is not reason else None


def is_windows_name(port: str) -> bool:
    """Tell whether a name is one of Windows: COM and a number."""
    bare = bare_windows_name(port)
    return bare.startswith("COM") and bare[3:].isdigit()


def bare_windows_name(port: str) -> str:
    """Return a name of Windows as it is listed, such as COM7."""
    return port.upper().removeprefix("\\\\.\\")


def _is_listed(port: str, listed: ListsNames) -> bool:
    return bare_windows_name(port) in {name.upper() for name in listed()}


def _windows_opening_failed(port: str, listed: ListsNames) -> PortError:
    if _is_listed(port, listed):
        return PortError(port, PortProblem.BUSY, _busy_sentence(port))
    sentence = f"there is no port {port}: plug the adapter in, or see which ports there are"
    return PortError(port, PortProblem.MISSING, sentence)


def _busy_sentence(port: str) -> str:
    return f"{port} is in use by another program: close that program, then open it again"


def _forbidden_sentence(port: str) -> str:
    group = _group_that_may(port)
    if group is None:
        return f"you may not open {port}: ask whoever runs this computer for the right to use it"
    return (
        f"you may not open {port}: it belongs to the group '{group}'; "
        f"run 'sudo usermod -aG {group} $USER' and log in again"
    )


def _group_that_may(port: str) -> str | None:
    """Return the group that owns a port, if being in it helps."""
    if sys.platform == "win32":
        return None
    try:
        facts = Path(port).stat()
        group = Path(port).group()
    except (OSError, KeyError):
        return None
    return group if facts.st_mode & GROUP_MAY_USE == GROUP_MAY_USE and facts.st_gid != 0 else None


def _kind_of(port: str) -> str:
    try:
        mode = Path(port).stat().st_mode
    except OSError:
        return ""
    if stat.S_ISDIR(mode):
        return "a folder, "
    return "a file, " if stat.S_ISREG(mode) else ""
