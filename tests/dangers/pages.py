"""Hands that know a job by its pages alone: they send rows, and press what a page offers.

Nothing of the core is used but its door, so that these tests run against any version of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from copy import copy
from datetime import datetime, timedelta, timezone
from functools import cache
from typing import Any, Final

from weeptrace.door import call
from weeptrace.door.phone import Phone

Json = dict[str, Any]
Answer = str | tuple[str, str]

MOST: Final = 500  # presses; a job that takes more goes in a circle
ZERO: Final = datetime(2026, 11, 25, 14, 0, tzinfo=timezone(timedelta(hours=1)))
JOB: Final = "01990000-0000-7000-8000-0000000000a0"

# What is typed or chosen where a test does not say otherwise; else a choice takes its first row.
USUAL: Final[dict[str, Answer]] = {
    "arrival.hot": "no",
    "work.where": "workshop",
    "work.route": "measure",
    "car.drive": "no_high_voltage",
    "car.loop": "engine_or_heater",
    "car.cap_rating": ("110", "kPa"),
    "car.capacity": ("7.6", "L"),
    "place.ambient": ("20", "°C"),
    "safe.key": "engine_cold",
    "car.raised": "on_ground",
    "coolant.condition": "clean",
    "oil.engine": "clean",
    "oil.transmission": "clean",
    "tester.span": ("160", "kPa"),
    "tester.division": ("2", "kPa"),
    "cap.how": "replaced",
    "hold.level": "as_found",
    "finding.place": "radiator_seam",
    "finding.watch": "pressure",
    "finding.wet_again": "wet",
    "repair.kind": "radiator",
    "repair.opened": "opened",
    "drive.decision": "drive",
    "quote.total": ("480", "1"),
    "quote.ceiling": ("560", "1"),
    "consent.how": "spoken",
    "coolant.missing_before": ("0", "L"),
    "coolant.drained": ("4.3", "L"),
    "coolant.residual_strength": ("35", "%"),
    "coolant.target_strength": ("50", "%"),
    "coolant.filled": ("4.3", "L"),
    "transmission.caught": ("430", "g"),
    "transmission.filled": ("430", "g"),
    "fill.how": "open_neck",
    "dry.wanted": "no_dry_air",
    "after.wanted": "no_hold",
    "after.old_place": "dry",
    "road.look": "dry",
    "level.end": "at_mark",
    "test.result": "not_found",
    "test.strokes": ("9", "1"),
    "test.evening": ("80", "kPa"),
    "test.morning": ("78", "kPa"),
    "test.gas": "same",
    "test.cylinders": "dry",
    "engine.air": "outdoors",
    "off.hidden": "none",
    "coolant.temperature": ("20", "°C"),
    "system.pressure_sign": "hose_soft",
}
NEEDLES: Final[dict[str, tuple[str, ...]]] = {
    "hold.pressure": ("110", "109", "107", "106", "105", "103"),
    "test.pressure": ("100", "99", "99", "98", "98", "97"),
    "after.pressure": ("110", "110", "109", "109", "109", "109"),
    "dry.pressure": ("60", "60", "60", "60", "60", "60"),
    "vacuum.pressure": ("85", "85", "85", "85", "85", "85"),
    "warm.coolant": ("20", "45", "70", "88", "92"),
}


def events_in(made: Any) -> Iterator[Json]:
    """Every event that a part of a view offers, in its order."""
    if isinstance(made, dict):
        if {"kind", "field", "typed"} <= set(made):
            yield made
            return
        for each in made.values():
            yield from events_in(each)
    elif isinstance(made, list):
        for each in made:
            yield from events_in(each)


def _texts(made: Any) -> Iterator[str]:
    if isinstance(made, str):
        yield made
    elif isinstance(made, dict):
        for key, each in made.items():
            if key not in ("do", "event", "block", "shape", "icon", "now", "units"):
                yield from _texts(each)
    elif isinstance(made, list):
        for each in made:
            yield from _texts(each)


class Page:
    """One view: its name, its words, and what it offers."""

    def __init__(self, view: Json, rows: int) -> None:
        self.view = view
        self.rows = rows  # events before it
        self.step = str(view["step"])

    @property
    def words(self) -> str:
        """All that is read on it, with ordinary spaces."""
        said = "\n".join(_texts([self.view["blocks"], self.view["foot"]]))
        return said.replace("\N{NO-BREAK SPACE}", " ")

    @property
    def caution(self) -> str:
        """The words of its caution, or none."""
        return str((self.view["foot"]["caution"] or {"text": ""})["text"])

    @property
    def asks(self) -> set[str]:
        """The fields that what it offers would give."""
        return {event["field"] for event in events_in([self.view["blocks"], self.view["foot"]])}

    def blocks(self, kind: str) -> list[Json]:
        """Its blocks of one kind."""
        return [block for block in self.view["blocks"] if block["block"] == kind]


def walked(*ends: str, **answers: Answer) -> Hands:
    """Hands of their own that have come as far as one of these pages."""
    course = _course(tuple(sorted(answers.items())))
    number = next((n for n, page in enumerate(course.seen) if page.step in ends), None)
    if number is None:
        course.until(*ends)
        number = len(course.seen)
    return course.as_at(number)


@cache
def _course(answers: tuple[tuple[str, Answer], ...]) -> Hands:
    """One for all tests with the same answers, that goes as far as any of them asks."""
    return Hands(**dict(answers))


class Hands:
    """``Hands(repair__kind="cap")``: two underscores stand for the dot of a field."""

    def __init__(self, **answers: Answer) -> None:
        given = {name.replace("__", "."): said for name, said in answers.items()}
        self.answers = {**USUAL, **given}
        self.events: list[Json] = []
        self.wall = self.mono = 0.0  # s
        self.boot = 1
        self.device = "device-1"
        self.needles = dict(NEEDLES)
        self.seen: list[Page] = []
        self.clocks: list[tuple[float, float]] = []  # at each of them
        self.pressed: dict[str, int] = {}
        self.phone, self.kept = Phone(), 0  # rows that it has taken
        rules = call("job.fold", {"events": [self.add("opened", "rules", "")]})["judged_by"]
        self.events[0]["typed"] = rules

    def as_at(self, number: int) -> Hands:
        """Others, as these were when they came to a page by its number, or as they are."""
        other = copy(self)
        other.phone, other.kept = Phone(), 0
        at = number < len(self.seen)
        other.events = self.events[: self.seen[number].rows] if at else self.events[:]
        other.wall, other.mono = self.clocks[number] if at else (self.wall, self.mono)
        other.seen, other.clocks = self.seen[:number], self.clocks[:number]
        other.pressed = dict(Counter(page.step for page in other.seen))
        other.answers, other.needles = dict(self.answers), dict(self.needles)
        return other

    # --- rows ---------------------------------------------------------------------------------

    def moment(self) -> Json:
        """Now, by both clocks."""
        at = (ZERO + timedelta(seconds=self.wall)).isoformat(timespec="milliseconds")
        return {"at": at, "mono": self.mono * 1000.0, "boot": f"boot-{self.boot}"}

    def wait(self, seconds: float, mono: float | None = None) -> None:
        """Time passes: by the wall clock, and by the other one as much or by ``mono``."""
        self.wall += seconds
        self.mono += seconds if mono is None else mono

    def add(self, kind: str, field: str, typed: str = "", unit: str | None = None,
            supersedes: str | None = None) -> Json:  # fmt: skip
        """Store a row."""
        number = len(self.events)
        row = {"id": f"01990000-0000-7000-8000-{number:012x}", "device": self.device,
               "seq": number, **self.moment(), "job": JOB, "kind": kind, "field": field,
               "typed": typed, "unit": unit}  # fmt: skip
        if supersedes is not None:
            row["supersedes"] = supersedes
        self.events.append(row)
        return row

    def fact(self, field: str, typed: str, unit: str | None = None) -> Json:
        """An answer."""
        return self.add("fact", field, typed, unit)

    def undo(self, field: str) -> Json:
        """The last answer of a field is taken back."""
        old = next(row for row in reversed(self.events) if row["field"] == field)
        return self.add("undo", field, supersedes=old["id"])

    def correct(self, field: str, typed: str, unit: str | None = None) -> Json:
        """The last answer of a field is typed anew."""
        old = next(row for row in reversed(self.events) if row["field"] == field)
        return self.add(old["kind"], field, typed, unit, supersedes=old["id"])

    def resume(self) -> None:
        """The phone starts anew."""
        self.boot += 1
        self.mono = 0.0
        self.add("resumed", "app.resumed")

    def last(self, *fields: str) -> Json | None:
        """The latest row of one of these fields."""
        return next((row for row in reversed(self.events) if row["field"] in fields), None)

    # --- pages --------------------------------------------------------------------------------

    def page(self, look: str = "") -> Page:
        """What the phone shows now, which takes each row once."""
        for row in self.events[self.kept :]:
            self.phone.advance(row)
        self.kept = len(self.events)
        return Page(self.phone.view(self.moment(), look), self.kept)

    def at(self) -> str:
        """The name of the step, the gate or the stop."""
        return self.page().step

    def until(self, *ends: str) -> Page:
        """Answer page after page until one of these; "record" is the end."""
        for _ in range(MOST):
            page = self.page()
            if page.step in ends:
                return page
            assert page.step != "record", f"closed without {ends}: {self.way()}"
            self.seen.append(page)
            self.clocks.append((self.wall, self.mono))
            self.answer(page)
        raise AssertionError(f"in a circle before {ends}: {self.way()[-12:]}")

    def way(self) -> list[str]:
        """The pages so far, each run of one told once."""
        names = [page.step for page in self.seen]
        return [name for n, name in enumerate(names) if n == 0 or names[n - 1] != name]

    def since(self, step: str) -> list[Page]:
        """The pages from the first of this name on."""
        return self.seen[[page.step for page in self.seen].index(step) :]

    def answer(self, page: Page) -> None:
        """Do what the page asks."""
        self.wait(5.0)
        self.pressed[page.step] = times = self.pressed.get(page.step, 0) + 1
        assert times < 60, f"{page.step} goes on and on: {page.words}"
        if page.step.startswith("gate."):
            self._open(page)
            return
        main = page.view["foot"]["main"]
        if page.blocks("recorder") or (main and "read" in main["do"]):
            self._read(page)
            return
        for each in (self._tick, self._choose, self._type, self._part):
            if each(page):
                return
        self._main(page)

    def _open(self, page: Page) -> None:
        gate = page.step.removeprefix("gate.")
        if gate in ("cold", "cool_metal"):
            self.wait(9000.0)  # long enough for any engine
            self.fact("coolant.temperature", *self._said("coolant.temperature"))
            if gate == "cold":
                self.fact("system.pressure_sign", *self._said("system.pressure_sign"))
        elif gate == "stands":
            self.fact("car.raised", *self._said("car.raised"))
            for tick in ("set", "pushed", "rocked"):
                self.add("done", f"stands.{tick}")
        elif gate in ("fan_safe", "fan_back"):
            self.add("done", {"fan_safe": "fan.off", "fan_back": "fan.on"}[gate])
        elif gate == "key_away":
            self.fact("safe.key", *self._said("safe.key"))
        elif gate == "open_air":
            self.fact("engine.air", "outdoors")
            self.add("done", "warm.extraction")
        else:
            offered = [e for e in events_in(page.view["blocks"]) if e["kind"] != "undo"]
            assert offered, f"{page.step} after {self.way()[-3:]}: {page.words}"
            self._press(offered[0])

    def _said(self, field: str) -> tuple[str, str | None]:
        said = self.answers[field]
        return (said, None) if isinstance(said, str) else said

    def _press(self, event: Json) -> None:
        self.add(event["kind"], event["field"], event["typed"], event["unit"],
                 event.get("supersedes"))  # fmt: skip

    def _read(self, page: Page) -> None:
        offered = list(events_in(page.view["foot"]))
        field = next(e["field"] for e in offered if e["field"] in self.needles)
        for typed in self.needles[field]:
            self.wait(60.0)
            self.add("reading", field, typed, "°C" if field == "warm.coolant" else "kPa")
        self.add("mark", f"{field.partition('.')[0]}.ended")

    def _tick(self, page: Page) -> bool:
        """Rows to tick are ticked; questions are answered where a test has an answer."""
        for block in page.blocks("checklist"):
            for row in block["rows"]:
                event = (row["do"] or {}).get("event")
                if event is None or event["kind"] == "undo":
                    continue
                if event["kind"] == "done":
                    self._press(event)
                    return True
                said = self.answers.get(event["field"])
                if said is not None and (event["field"], said) not in self._told():
                    self.fact(event["field"], str(said))
                    return True
        return False

    def _told(self) -> set[tuple[str, str]]:
        return {(row["field"], row["typed"]) for row in self.events}

    def _choose(self, page: Page) -> bool:
        for block in page.blocks("choice"):
            rows = [row["do"]["event"] for row in block["rows"]]
            wanted = self.answers.get(rows[0]["field"])
            self._press(next((e for e in rows if e["typed"] == wanted), rows[0]))
            return True
        return False

    def _type(self, page: Page) -> bool:
        for block in (*page.blocks("pad"), *page.blocks("text")):
            event = block["event"]
            said = self.answers.get(event["field"])
            skips = [e for e in events_in(page.view["foot"]["keys"]) if e["kind"] == "not_done"]
            if said is None and skips:
                self._press(skips[0])
            elif said is None:
                self.add(event["kind"], event["field"], "Sand")
            else:
                self.add(event["kind"], event["field"], *self._said(event["field"]))
            return True
        return False

    def _part(self, page: Page) -> bool:
        """The part that the main key names: off or on."""
        main = page.view["foot"]["main"]
        event = None if main is None else main["do"].get("event")
        if event is not None and event["field"].startswith("part."):
            self._press(event)
            return True
        return False

    def _main(self, page: Page) -> None:
        main = page.view["foot"]["main"]
        offered = [] if main is None else list(events_in(main))
        assert offered, f"nothing to press on {page.step}: {page.words}"
        event = offered[0]
        if event["kind"] == "photo":
            self.add("not_done", event["field"])
        elif main is not None and ("pad" in main["do"] or "reason" in main["do"]):
            self.add(event["kind"], event["field"], *self._said(event["field"]))
        else:
            self._press(event)
