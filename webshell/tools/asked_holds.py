"""Times of pages with holds in CPython here, in ms, with nothing kept and with what was judged.

A running hold is drawn again every half minute though nothing was read anew; the record is the one
of a practice car that was held twice.
"""

from __future__ import annotations

import json
import math
import sys
import time
import tomllib
from datetime import datetime, timedelta
from typing import Any

from steps import ROOT

RUNS = 40
READINGS = 60
CAR = ROOT / "demo_scenarios" / "larkspur_drips_at_night.toml"
BEGAN = datetime.fromisoformat("2026-11-25T14:00:00+01:00")

COLUMNS = ("nothing kept", "first", "again")

Json = dict[str, Any]


def times() -> dict[str, dict[str, list[float]]]:
    """By page: the times with ``nothing kept``, at ``first`` sight, and seen ``again``."""
    sys.path.insert(0, str(ROOT / "core"))
    pages = {
        f"a running hold of {READINGS} readings": (_running(), "", "hold_readings"),
        "the record of two holds": (_car(), "record", "record"),
    }
    return {title: _timed(*page) for title, page in pages.items()}


def _timed(events: list[Json], look: str, step: str) -> dict[str, list[float]]:
    from weeptrace import bridge
    from weeptrace.job import holds

    bridge.ask("open", json.dumps({"job": "car", "events": events}))
    now = {key: events[-1][key] for key in ("at", "mono", "boot")}
    page = json.dumps({"job": "car", "now": now, "look": look})
    judged = holds.judged

    def taken() -> float:
        start = time.perf_counter()
        answer = json.loads(bridge.ask("view", page))
        end = time.perf_counter()
        if answer.get("step") != step:
            raise ValueError(answer)
        return 1000 * (end - start)

    found: dict[str, list[float]] = {column: [] for column in COLUMNS}
    for _ in range(RUNS):
        holds.judged = judged.__wrapped__  # type: ignore[assignment]
        found["nothing kept"].append(taken())
        holds.judged = judged
        judged.cache_clear()
        found["first"].append(taken())
        found["again"].append(taken())
    return found


def _car() -> list[Json]:
    """The events of the practice car, as a shell stores them."""
    told = tomllib.loads(CAR.read_text("utf-8"))["events"]
    opened = {"after": 0.0, "kind": "opened", "field": "rules", "typed": "as they come"}
    return [_event(n, **each) for n, each in enumerate([opened, *told])]


def _running() -> list[Json]:
    """The same car, its first hold read twice a minute and not yet ended."""
    before = _car()
    first = next(n for n, each in enumerate(before) if each["kind"] == "reading")
    after = before[first]["mono"] / 1000.0
    readings = [
        _event(
            first + k,
            after=after + 30.0 * k,
            kind="reading",
            field="hold.pressure",
            typed=str(round(110 * math.exp(-0.1 * k / 120))),
            unit="kPa",
        )
        for k in range(READINGS)
    ]
    return [*before[:first], *readings]


def _event(n: int, *, after: float, unit: str | None = None, **told: Any) -> Json:
    return {
        "id": f"01990000-0000-7000-8000-{n:012x}",
        "device": "device-1",
        "job": "car",
        "seq": n,
        "at": (BEGAN + timedelta(seconds=after)).isoformat(timespec="milliseconds"),
        "mono": 1000.0 * after,
        "boot": "boot-1",
        "unit": unit,
        **told,
    }
