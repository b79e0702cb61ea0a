"""What all tests share: a seed that is printed, and no network beyond this machine."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("buswalk", deadline=None, print_blob=True)
settings.load_profile("buswalk")
