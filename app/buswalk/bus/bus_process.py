"""The bus process: one thread works, one takes commands, one takes stops, one sends; work waits for none of them."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import TypeAlias

from buswalk.bus.engine import Engine
from buswalk.bus.messages import NumberedCommand, WindowGone
from buswalk.bus.outbox import Outbox
from buswalk.bus.parts import EngineParts

SEND_EVERY_S = 0.1
END_WITHIN_S = 1.5
"""So long may work go on after the window has died; then the process ends hard, and the system frees the port."""
LAST_WORDS_WITHIN_S = 1.5
"""For what was kept at the very end; a window that takes nothing is not waited for longer."""
BuildsParts: TypeAlias = Callable[[], EngineParts]


def run_bus_process(build: BuildsParts, commands: Connection, stops: Connection, stream: Connection) -> None:
    """Serve until told to end, or until the other end is gone. Ctrl-C is for the window."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    outbox = Outbox()
    engine = Engine(build(), outbox, time.monotonic)
    ended = threading.Event()
    sender = threading.Thread(target=lambda: _send(stream, outbox, ended), daemon=True)
    sender.start()
    threading.Thread(target=lambda: _take_commands(commands, engine, ended), daemon=True).start()
    threading.Thread(target=lambda: _take_stops(stops, engine), daemon=True).start()
    try:
        engine.run()
    finally:
        ended.set()
        sender.join(LAST_WORDS_WITHIN_S)


def _take_commands(commands: Connection, engine: Engine, ended: threading.Event) -> None:
    """Hand commands over; the end of the pipe is the death of the window."""
    try:
        while True:
            command = commands.recv()
            if isinstance(command, NumberedCommand):
                engine.take(command)
    except (EOFError, OSError):
        engine.take(NumberedCommand(0, WindowGone()))
        engine.stop()
        if not ended.wait(END_WITHIN_S):
            os._exit(1)


def _take_stops(stops: Connection, engine: Engine) -> None:
    try:
        while True:
            stops.recv()
            engine.stop()
    except (EOFError, OSError):
        return


def _send(stream: Connection, outbox: Outbox, ended: threading.Event) -> None:
    """Send what waits, ten times a second, and the rest at the end.

    A batch without items keeps the window's time of the line in step.
    """
    try:
        while not ended.wait(SEND_EVERY_S):
            stream.send(outbox.take())
        while not outbox.is_empty:
            stream.send(outbox.take())
        stream.close()
    except OSError:
        return
