"""What others say on the line beside a search, at one setting and since when. No words, no Qt."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import SettingsApplied, StrayArrival
from buswalk.domain.search.overheard import Overheard


class HeardBeside:
    """Takes the stream; what was heard is kept until bytes come at another setting, where it would mean nothing."""

    def __init__(self) -> None:
        self.overheard = Overheard()
        self.from_s = self.to_s = 0.0
        self._settings_now: SerialSettings | None = None
        self._heard_at: SerialSettings | None = None

    def begin(self, at_s: float) -> None:
        """Forget what was heard: from now on it is heard anew."""
        self.overheard = Overheard()
        self.from_s = self.to_s = at_s

    def take(self, event: SettingsApplied | StrayArrival) -> None:
        """Take what tells of the line."""
        match event:
            case SettingsApplied(settings=settings):
                self._settings_now = settings
            case StrayArrival(arrival):
                if self._heard_at != self._settings_now:
                    if self.overheard.byte_count:
                        self.begin(arrival.not_before_s)
                    self._heard_at = self._settings_now
                self.overheard.take(arrival)
                self.to_s = arrival.not_after_s

    def settings_or(self, others: SerialSettings) -> SerialSettings:
        """Return at which settings whole requests were heard; the others where none was."""
        return self._heard_at if self._heard_at is not None and self.overheard.requests else others
