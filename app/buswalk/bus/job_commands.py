"""Which commands begin a job, and the jobs of those that need nothing but what is in the command."""

from __future__ import annotations

from typing import TypeAlias

from buswalk.bus.engine_jobs import EchoTestJob, EngineJob, ListenJob, PingJob, PresenceJob, WatchJob
from buswalk.bus.messages import (
    LookForMoved,
    StartEchoTest,
    StartLearning,
    StartListening,
    StartPing,
    StartPresence,
    StartReaddress,
    StartSearch,
    StartWatch,
)

BeginsPlainJob: TypeAlias = StartListening | StartPing | StartWatch | StartPresence | StartEchoTest
BeginsJob: TypeAlias = BeginsPlainJob | StartSearch | StartLearning | StartReaddress | LookForMoved


def job_of(command: BeginsPlainJob) -> EngineJob:
    """Return the job that a command begins."""
    match command:
        case StartListening(seconds, settings):
            return ListenJob(seconds, settings)
        case StartPing(ping_plan):
            return PingJob(ping_plan)
        case StartWatch(watch_plan):
            return WatchJob(watch_plan)
        case StartPresence(presence_plan):
            return PresenceJob(presence_plan)
        case StartEchoTest():
            return EchoTestJob()
