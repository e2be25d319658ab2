"""What hurts body, car or others, and from what on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

HARMS: Final = (
    "burnt", "sprayed", "caught", "crushed", "gassed", "shocked", "poisoned", "glycol_fire",
    "overheated", "run_dry", "hydrolocked", "over_pressured", "oil_spoilt", "battery_shorted",
    "refrigerant_out", "driven_unfit", "handed_back_low", "handed_back_with_air",
    "handed_back_part_off", "handed_back_fan_off", "handed_back_leaking_unsaid",
)  # fmt: skip


@dataclass(frozen=True)
class Harm:
    """One harm: ``at`` s since the car arrived, its ``kind`` of ``HARMS``, and ``why`` by an id."""

    at: float
    kind: str
    why: str
