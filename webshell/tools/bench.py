"""Figures of the built app: bytes, time to the first step, time of one hold judged.

Times are medians of a few runs in fresh browsers on this machine, in ms; a phone is slower by a
factor that only a phone can tell. Compare figures of one run only.
"""

from __future__ import annotations

import json
import math
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import machine
from phone import phone, served
from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright
from release import CORE, FOR_THE_HOST
from steps import files_of, step

RUNS = 5
PORT = 8137
READINGS = 60
GROUPS = {"runtime": "runtime/", "app": ""}  # first match counts

MARKS = """() => Object.fromEntries([
  ...performance.getEntriesByType("paint"), ...performance.getEntriesByType("mark"),
].map((entry) => [entry.name, entry.startTime]))"""
JUDGE = """async ([payload, runs]) => {
  const { createEngine } = await import("/engine/client.js");
  const engine = createEngine();
  const times = [];
  for (let run = 0; run <= runs; run += 1) {
    const start = performance.now();
    const answer = await engine.ask("call", { operation: "hold.assess", payload });
    times.push(performance.now() - start);
    if (answer.error) throw new Error(answer.error.message);
  }
  return times.slice(1);  // the first one waits for the start
}"""


def bench(folder: Path, browser: str) -> None:
    """Print all figures."""
    with step("compressing dist/ (brotli takes its time)"):
        sizes = _sizes(folder)
    with sync_playwright() as playwright, served(folder, PORT) as url:
        with step(f"{RUNS} first visits and {RUNS} second visits"):
            first, second = _visits(playwright, browser, url)
        with step(f"judging a hold of {READINGS} readings"):
            worker = _judged_in_worker(playwright, browser, url)
            native = _judged_here()
    print("\nBytes that a phone fetches once          raw        gzip      brotli")
    for name, size in sizes.items():
        print(f"  {name:<32} {size['raw']:>11,} {size['gzip']:>11,} {size['brotli']:>11,}")
    print("\nms after navigation (median)     first visit   second visit")
    for name, words in (
        ("first-contentful-paint", "something drawn"),
        ("first-seen", "job drawn as last seen"),
        ("engine-ready", "engine ready"),
        ("first-step", "first step drawn by the rules"),
    ):
        print(f"  {words:<32} {_median(first, name):>9} {_median(second, name):>14}")
    print("  (first visit: the hand of this bench chooses units and presses New job at once)")
    print(f"\nOne hold of {READINGS} readings judged (median, ms)")
    print(f"  browser's worker {statistics.median(worker):9.1f}")
    print(f"  CPython here     {statistics.median(native):9.1f}")


def _sizes(folder: Path) -> dict[str, dict[str, int]]:
    left = [path.relative_to(folder).as_posix() for path in files_of([folder])]
    left = [path for path in left if path not in FOR_THE_HOST or path == "service-worker.js"]
    out = {}
    for name, prefix in GROUPS.items():
        paths = [path for path in left if path.startswith(prefix)]
        left = [path for path in left if not path.startswith(prefix)]
        command = [*machine.node(), str(Path(__file__).with_name("sizes.mjs")), str(folder), *paths]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        out[name] = json.loads(done.stdout)
    out["all"] = {kind: sum(group[kind] for group in out.values()) for kind in out["app"]}
    return out


def _visits(
    playwright: Playwright, browser: str, url: str
) -> tuple[list[dict[str, float]], list[dict[str, float]]]:
    first, second = [], []
    for _ in range(RUNS):
        with phone(playwright, browser) as context:
            page = context.pages[0]
            page.goto(url)
            page.get_by_role("button", name="kPa").click()
            page.get_by_role("button", name="New job").click(timeout=120_000)
            first.append(_marks(page, "first-step"))
            page.evaluate("async () => { await navigator.serviceWorker.ready; }")
            second.append(_second_visit(context, page, url))
    return first, second


def _second_visit(context: BrowserContext, page: Page, url: str) -> dict[str, float]:
    address = page.url
    page.close()
    again = context.new_page()
    again.goto(address if address.startswith(url) else url)
    return _marks(again, "first-step")


def _marks(page: Page, last: str) -> dict[str, float]:
    """The page's marks once the last one is set."""
    for _ in range(1200):
        marks: dict[str, float] = page.evaluate(MARKS)
        if last in marks and "engine-ready" in marks:
            return marks
        time.sleep(0.1)
    raise TimeoutError(f"the page never marked {last}")


def _median(visits: list[dict[str, float]], name: str) -> str:
    times = [visit[name] for visit in visits if name in visit]
    return f"{statistics.median(times):.0f}" if times else "not there"


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


def _judged_in_worker(playwright: Playwright, browser: str, url: str) -> list[float]:
    with phone(playwright, browser) as context:
        page = context.pages[0]
        page.goto(f"{url}licences/index.txt")
        times: list[float] = page.evaluate(JUDGE, [hold_payload(), 2 * RUNS])
    return times


def _judged_here() -> list[float]:
    sys.path.insert(0, str(CORE))
    from weeptrace import door

    text = json.dumps(hold_payload())
    times = []
    for _ in range(2 * RUNS + 1):
        start = time.perf_counter()
        answer = door.call_text("hold.assess", text)
        times.append(1000 * (time.perf_counter() - start))
        if "error" in json.loads(answer):
            raise ValueError(answer)
    return times[1:]
