"""Where the shipped profiles lie: beside the installed package, or in the checkout."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def profile_folder(package: Path = PACKAGE) -> Path:
    """Return `shipped/profiles` of the package if it is there, else the checkout's folder."""
    shipped = package / "shipped" / "profiles"
    return shipped if shipped.is_dir() else package.parent.parent / "profiles"
