"""Where the user's files are: the data folder with records, and the preferences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import platformdirs

VARIABLE = "BUSWALK_DATA_FOLDER"
PROGRAM = "buswalk"
BOARD_FOLDER = "boards"
"""In the data folder, and among the shipped profiles."""
PROFILE_FOLDER = "profiles"
"""In the data folder: the user's own register profiles."""


@dataclass(frozen=True, slots=True)
class DataFolders:
    """Both folders; nothing is made until something is written there."""

    data: Path
    preferences_file: Path

    @property
    def visits(self) -> Path:
        """Records of real lines."""
        return self.data / "visits"

    @property
    def demo(self) -> Path:
        """Records of simulated lines: they must never pass for evidence."""
        return self.data / "demo"


def data_folders(chosen: str, environment: Mapping[str, str]) -> DataFolders:
    """Return the folders: those chosen by option, else by variable, else the ones usual on this system."""
    folder = chosen or environment.get(VARIABLE, "")
    if folder:
        data = Path(folder).expanduser().absolute()
        return DataFolders(data, data / "preferences.toml")
    config = platformdirs.user_config_path(PROGRAM, appauthor=False)
    return DataFolders(platformdirs.user_data_path(PROGRAM, appauthor=False), config / "preferences.toml")
