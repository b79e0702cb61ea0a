"""Batches on their way into the window: bounded, in order, answers to commands never lost."""

from __future__ import annotations

import threading

from pytestqt.qtbot import QtBot

from buswalk.bus.messages import Batch, Done, Kept, Refused, Skipped
from buswalk.ui.live.feed import BatchQueue, ProcessSaid
from buswalk.ui.live.queued_feed import QueuedFeed
from tests.fakes.played_feed import RememberedCommands


def batch(first_row: int, rows: int, *others: Done | Refused) -> Batch:
    kept = tuple(Kept(first_row + i, "event", 0.0) for i in range(rows))
    return Batch(float(first_row), 1.0, is_walking=True, items=kept + others)


def test_batches_come_out_in_order_and_once() -> None:
    queue = BatchQueue()
    queue.offer(batch(1, 2))
    queue.offer(batch(3, 2))

    first, second = queue.drain()

    assert (first.line_time_s, second.line_time_s) == (1.0, 3.0)
    assert queue.drain() == ()


def test_a_window_that_is_slow_loses_rows_but_is_told_which() -> None:
    queue = BatchQueue(most_items=5)
    queue.offer(batch(1, 4))

    queue.offer(batch(5, 4, Done(7), Refused(8, "no")))

    _, late = queue.drain()
    assert late.items == (Skipped(5, 4), Done(7), Refused(8, "no"))


def test_room_that_was_made_is_used_again() -> None:
    queue = BatchQueue(most_items=5)
    queue.offer(batch(1, 5))
    queue.drain()

    queue.offer(batch(6, 5))

    (taken,) = queue.drain()
    assert len(taken.items) == 5


def test_what_another_thread_offers_is_delivered_in_the_windows_thread(qtbot: QtBot) -> None:
    queue = BatchQueue()
    feed = QueuedFeed(RememberedCommands(), queue)
    came: list[tuple[float, int]] = []
    feed.connect_batches(lambda one: came.append((one.line_time_s, threading.get_ident())))
    feed.start()

    reader = threading.Thread(target=lambda: queue.offer(batch(1, 1)))
    reader.start()
    reader.join()
    qtbot.waitUntil(lambda: bool(came), timeout=2000)
    feed.close()

    assert came == [(1.0, threading.get_ident())]


def test_news_of_a_process_comes_behind_what_it_had_said(qtbot: QtBot) -> None:
    queue = BatchQueue()
    feed = QueuedFeed(RememberedCommands(), queue)
    came: list[str] = []
    feed.connect_batches(lambda _one: came.append("batch"))
    feed.connect_process_news(lambda said: came.append(said.sentence))

    feed.say(ProcessSaid("it was started again", is_over=False))
    queue.offer(batch(1, 1))
    feed.deliver()

    assert came == ["batch", "it was started again"]
