"""Whether a folder is a place for a record: a record on a network or in a synced folder gets damaged while it grows."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from buswalk.storage.record_problems import FileProblem, Trouble

MOUNT_TABLE = Path("/proc/self/mounts")
_NETWORK_KINDS = re.compile(
    r"nfs\d*|cifs|smb\w*|afp\w*|ncpfs|afs|ceph|glusterfs|lustre|beegfs|davfs\d*|webdav|fuse\.(sshfs|rclone|s3fs|davfs\d*|gvfsd-fuse)"
)
_SYNCED_NAME = re.compile(r"cloud|drive$|^sync\b|sync$|^drop ?box|^mobile documents$", re.IGNORECASE)
"""Folder names by which programs that copy to servers of theirs are known; looked for below the home folder only."""
_ESCAPED = re.compile(r"\\([0-7]{3})")


@dataclass(frozen=True, slots=True)
class Mount:
    """A place at which a file system begins, and its kind."""

    place: Path
    kind: str


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is known of this computer's folders; tests hand in their own."""

    mounts: tuple[Mount, ...]
    home: Path


def this_computer() -> Surroundings:
    """Return the mount table, where the system has one that can be read as a file, and the home folder."""
    try:
        text = MOUNT_TABLE.read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        text = ""
    mounts = parsed_mounts(text.splitlines())
    return Surroundings(mounts or _network_drives(), Path.home())


def parsed_mounts(lines: Iterable[str]) -> tuple[Mount, ...]:
    """Return the mounts of a table such as /proc/self/mounts, whose second word is the place and third the kind."""
    words = (line.split() for line in lines)
    return tuple(
        Mount(Path(_ESCAPED.sub(lambda one: chr(int(one.group(1), 8)), given[1])), given[2])
        for given in words
        if len(given) >= 3
    )


def require_own_disk(folder: Path, around: Surroundings) -> None:
    """Refuse a folder on a network, or one that a program copies elsewhere while it is written to.

    Raises:
        FileProblem: It is such a folder.
    """
    resolved = folder.resolve()
    if str(resolved).startswith(("\\\\", "//")) or _kind_at(resolved, around) is not None:
        raise FileProblem(
            f"{folder} is on a network, where a record gets damaged when the connection drops: nothing is recorded; "
            "choose a folder on a disk of this computer with --data-folder",
            Trouble.UNSAFE_PLACE,
        )
    synced = _synced_part(resolved, around)
    if synced:
        raise FileProblem(
            f"{folder} is in '{synced}', which another program copies elsewhere while it is written to, and that "
            "damages a record: nothing is recorded; choose a folder outside of it with --data-folder",
            Trouble.UNSAFE_PLACE,
        )


def _kind_at(folder: Path, around: Surroundings) -> str | None:
    """Return the kind of the file system that holds a folder, if it is one of a network."""
    holding = [one for one in around.mounts if folder == one.place or one.place in folder.parents]
    if not holding:
        return None
    # Of several at one place the last one covers the others.
    nearest = max(enumerate(holding), key=lambda item: (len(item[1].place.parts), item[0]))[1]
    return nearest.kind if _NETWORK_KINDS.fullmatch(nearest.kind.lower()) else None


def _synced_part(folder: Path, around: Surroundings) -> str:
    home = around.home.resolve()
    if home not in folder.parents:
        return ""
    return next((part for part in folder.relative_to(home).parts if _SYNCED_NAME.search(part)), "")


def _network_drives() -> tuple[Mount, ...]:
    """Return drive letters that stand for folders of other computers (Windows; not tried there)."""
    if sys.platform != "win32":
        return ()
    import ctypes

    remote_drive = 4
    roots = [f"{letter}:\\" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    return tuple(
        Mount(Path(root), "smb") for root in roots if ctypes.windll.kernel32.GetDriveTypeW(root) == remote_drive
    )
