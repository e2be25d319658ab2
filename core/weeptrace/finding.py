"""What any engine of the core may say: how large with which interval, or why not at all."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Estimate:
    """A value with its two-sided 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Reason:
    """Why something is not judged: a code for programs, a sentence for people."""

    code: str
    message: str
