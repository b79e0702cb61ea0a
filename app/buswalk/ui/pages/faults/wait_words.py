"""What the watch's card says of its wait: whose it is, how long, and who will be late with it."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.watching.plan import WatchedDevice
from buswalk.domain.watching.waits import FIRST_WAIT_S, WAIT_RULE
from buswalk.ui.pages.faults.faults_state import FigureLine
from buswalk.ui.pages.faults.seen_turnarounds import SeenTurnarounds
from buswalk.ui.tones import Tone
from buswalk.ui.wording import address_list, milliseconds

MOST_NAMED = 3


def wait_line(devices: Sequence[WatchedDevice], seen: SeenTurnarounds, told_wait_s: float) -> FigureLine:
    """Return how long a watch of these devices waits, and why; `told_wait_s` is 0 where it follows them."""
    if told_wait_s:
        return _told_line(devices, seen, told_wait_s)
    slow = sorted((one for one in devices if one.wait_s > FIRST_WAIT_S), key=lambda one: -one.wait_s)
    words = [f"{milliseconds(one.wait_s)} for {one.server_address}" for one in slow[:MOST_NAMED]]
    if len(slow) > MOST_NAMED:
        words.append(f"longer than {milliseconds(FIRST_WAIT_S)} for {len(slow) - MOST_NAMED} more")
    if len(slow) < len(devices):
        words.append(f"{milliseconds(FIRST_WAIT_S)}{' for the others' if slow else ''}")
    return FigureLine("Waits", f"{', '.join(words)}: {WAIT_RULE}")


def _told_line(devices: Sequence[WatchedDevice], seen: SeenTurnarounds, told_wait_s: float) -> FigureLine:
    words = f"{milliseconds(told_wait_s)} for each, as chosen: what comes later counts as late"
    late = [one.server_address for one in devices if seen.longest_s(one.place) > told_wait_s]
    if not late:
        return FigureLine("Waits", words)
    return FigureLine("Waits", f"{words}. Slower than that was {address_list(sorted(late))}", Tone.DOUBT)
