"""Figures of the built app: bytes, time to the first step, time of single questions.

Times are medians of a few runs in fresh browsers on this machine, in ms; a phone is slower by a
factor that only a phone can tell. Compare figures of one run only.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import asked
import asked_holds
import machine
from phone import phone, served
from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright
from release import CORE, FOR_THE_HOST
from steps import files_of, step

RUNS = 5
PORT = 8137
GROUPS = {"runtime": "runtime/", "app": ""}  # first match counts

MARKS = """() => Object.fromEntries([
  ...performance.getEntriesByType("paint"), ...performance.getEntriesByType("mark"),
].map((entry) => [entry.name, entry.startTime]))"""
INSTALLED = """async () =>
  Boolean((await navigator.serviceWorker.getRegistration())?.active)"""


def bench(folder: Path, browser: str) -> None:
    """Print all figures."""
    with step("compressing dist/ (brotli takes its time)"):
        sizes = _sizes(folder)
    with sync_playwright() as playwright, served(folder, PORT) as url:
        with step(f"{RUNS} first visits and {RUNS} second visits"):
            first, second = _visits(playwright, browser, url)
        with step("asking single questions"):
            worker = asked.in_worker(playwright, browser, url)
            native = asked.here()
            pages = asked_holds.times()
            listed = _listed()
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
    print(f"\ns of CPU, python -m weeptrace --list (median)  {statistics.median(listed):.3f}")
    print("\nms of one answer (median, 95 %)       browser's worker    CPython here")
    for title in worker:
        print(f"  {title:<36} {_spread(worker[title])} {_spread(native[title])}")
    print(
        "\nms of a page, CPython here (median, 95 %) "
        + "".join(f"{c:>17}" for c in asked_holds.COLUMNS)
    )
    for title, by_column in pages.items():
        print(f"  {title:<38}" + "".join(f" {_spread(by_column[c])}" for c in asked_holds.COLUMNS))


def _spread(times: list[float]) -> str:
    high = sorted(times)[round(0.95 * (len(times) - 1))]
    return f"{statistics.median(times):8.1f} {high:7.1f}"


def _listed() -> list[float]:
    """CPU seconds of the command line's list, once its byte code is there."""
    command = [sys.executable, "-m", "weeptrace", "--list"]
    kept = {key: each for key, each in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    times = []
    with tempfile.TemporaryDirectory() as cache:
        own = {**kept, "PYTHONPATH": str(CORE), "PYTHONPYCACHEPREFIX": cache}
        for _ in range(RUNS + 1):
            before = _spent()
            subprocess.run(command, env=own, stdout=subprocess.DEVNULL, check=True)
            times.append(_spent() - before)
    return times[1:]


def _spent() -> float:
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return children.ru_utime + children.ru_stime


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
            _installed(page)
            second.append(_second_visit(context, page, url))
    return first, second


def _installed(page: Page) -> None:
    """Wait until the app is kept for use without a network; two minutes at most."""
    for _ in range(1200):
        if page.evaluate(INSTALLED):
            return
        time.sleep(0.1)
    raise TimeoutError("the app was not installed within two minutes")


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
