"""Times of single questions to the engine, in the browser's worker and in CPython here, in ms."""

from __future__ import annotations

import json
import math
import sys
import time
from typing import Any

from phone import phone
from playwright.sync_api import Playwright
from steps import ROOT

RUNS = 10
READINGS = 60
CASES = ROOT / "tests" / "causes" / "cases.json"

# The first question of each list waits for the start, and is not timed.
ASK = """async (asked) => {
  const { createEngine } = await import("/engine/client.js");
  const engine = createEngine();
  const times = {};
  for (const [title, questions] of Object.entries(asked)) {
    times[title] = [];
    for (const [name, question] of questions) {
      const start = performance.now();
      const answer = await engine.ask(name, question);
      if (name !== "open") times[title].push(performance.now() - start);
      if (answer.error) throw new Error(answer.error.message);
    }
    times[title].shift();
  }
  return times;
}"""

Question = tuple[str, dict[str, Any]]


def questions() -> dict[str, list[Question]]:
    """What is asked, by title: a hold over and over; causes, after each answer of each case."""
    hold = {"operation": "hold.assess", "payload": hold_payload()}
    cases = json.loads(CASES.read_text("utf-8"))["cases"]
    told = [
        {**case, "observations": case["observations"][:count]}
        for case in cases
        for count in range(len(case["observations"]) + 1)
    ]
    return {
        f"a hold of {READINGS} readings": [("call", hold)] * (RUNS + 1),
        "causes, one more answer": [("call", _ranked(each)) for each in told],
        "causes, one more answer, as a page": [each for case in told for each in _page(case)],
    }


def hold_payload() -> dict[str, Any]:
    """A hold of 30 min read twice a minute to 1 kPa: 110 kPa that decay by 10 % an hour."""
    readings = [
        {
            "time": {"value": 0.5 * i, "unit": "min"},
            "pressure": {"value": round(110 * math.exp(-0.1 * i / 120)), "unit": "kPa"},
        }
        for i in range(READINGS)
    ]
    return {
        "kind": "pressure",
        "medium": "coolant",
        "readings": readings,
        "division": {"value": 2, "unit": "kPa"},
        "stored": {"headspace": {"value": 0.5, "unit": "L"}},
    }


def _ranked(case: dict[str, Any]) -> dict[str, Any]:
    told = {"features": case["vehicle"]["features"], "observations": case["observations"]}
    return {"operation": "causes.rank", "payload": told}


def _page(case: dict[str, Any]) -> list[Question]:
    """The job opened, then the page "Find it" of it; opening is not timed."""
    told = {f"find.{each['finding']}": each["value"] for each in case["observations"]}
    told["car.features"] = ",".join(sorted(case["vehicle"]["features"]))
    moment = {"at": "2026-11-25T14:00:00.000+01:00", "mono": 0.0, "boot": "boot-1"}
    about = {"device": "device-1", "job": case["id"], "kind": "fact", "unit": None, **moment}
    events = [
        {**about, "id": f"01990000-0000-7000-8000-{n:012x}", "seq": n, "field": name, "typed": word}
        for n, (name, word) in enumerate(told.items())
    ]
    page = {"job": case["id"], "now": moment, "look": "find"}
    return [("open", {"job": case["id"], "events": events}), ("view", page)]


def in_worker(playwright: Playwright, browser: str, url: str) -> dict[str, list[float]]:
    """Times by title, as the page waits for them."""
    with phone(playwright, browser) as context:
        page = context.pages[0]
        page.goto(f"{url}licences/index.txt")
        times: dict[str, list[float]] = page.evaluate(ASK, questions())
    return times


def here() -> dict[str, list[float]]:
    """Times by title in this Python."""
    sys.path.insert(0, str(ROOT / "core"))
    from weeptrace import bridge

    times: dict[str, list[float]] = {}
    for title, asked in questions().items():
        taken = []
        for name, question in asked:
            text = json.dumps(question)
            start = time.perf_counter()
            answer = bridge.ask(name, text)
            if name != "open":
                taken.append(1000 * (time.perf_counter() - start))
            if "error" in json.loads(answer):
                raise ValueError(answer)
        times[title] = taken[1:]
    return times
