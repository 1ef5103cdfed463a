"""Events, the log, sync, state, sign-off, search and verification of what was recorded."""

from shaftside.records.model import (
    Ack,
    Actor,
    DeviceSession,
    Difference,
    DueLine,
    Exchange,
    FailureLine,
    FailureView,
    JobLine,
    JobQuery,
    JobView,
    Kept,
    PositionLine,
    PositionView,
    Push,
)
from shaftside.records.service import Records

__all__ = [
    "Ack",
    "Actor",
    "DeviceSession",
    "Difference",
    "DueLine",
    "Exchange",
    "FailureLine",
    "FailureView",
    "JobLine",
    "JobQuery",
    "JobView",
    "Kept",
    "PositionLine",
    "PositionView",
    "Push",
    "Records",
]
