"""Listens before the first probe, so that another client is noticed before it is disturbed."""

from __future__ import annotations

from collections.abc import Generator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.search.events import ListenedFirst, SearchEvent, Verdict
from buswalk.jobs.asking.asker import Asker

LISTENING_SETTINGS = SerialSettings.of(9600, "8N1")


def listen_first(asker: Asker, seconds: float) -> Generator[SearchEvent, None, Verdict]:
    """Yield what was heard in so many seconds; return what it is."""
    asker.use_settings(LISTENING_SETTINGS)
    began_s = asker.clock.now_s()
    arrivals = asker.listen_until(began_s + seconds)
    verdict = verdict_of(arrivals, decode(arrivals, LISTENING_SETTINGS))
    took_s = asker.clock.now_s() - began_s
    yield ListenedFirst(asker.settings, took_s, verdict, sum(len(one.data) for one in arrivals))
    return verdict
