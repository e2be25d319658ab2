"""Writes events as a shell stores them, for tests."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

from weeptrace.job.advance import advance, fold
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import load

RULES = load()
ZERO = datetime(2026, 11, 25, 14, 0, tzinfo=timezone(timedelta(hours=1)))


class Logbook:
    """One job's events on one device; time stands where ``now`` is put, in s."""

    def __init__(self, rules: str = RULES.hash, job: str = "job-1") -> None:
        self.job = job
        self.boot = "boot-1"
        self.now = 0.0
        self.boot_began = 0.0
        self.events: list[dict[str, Any]] = []
        self._taken: list[dict[str, Any]] = []  # as they were when the job took them
        self._job = EMPTY
        self.add("opened", "rules", rules)

    def folded(self) -> Job:
        """The job of all events, each taken once; folded whole where one was changed or moved."""
        if any(event.get("seq") != number for number, event in enumerate(self.events)):
            return fold(RULES, self.events)
        if self._taken != self.events[: len(self._taken)]:
            self._taken, self._job = [], EMPTY
        for event in self.events[len(self._taken) :]:
            self._job = advance(RULES, self._job, event)
            self._taken.append(dict(event))
        return self._job

    def moment(self, at: float | None = None) -> dict[str, Any]:
        """``{at, mono, boot}`` at a time in s, or now."""
        time = self.now if at is None else at
        return {
            "at": (ZERO + timedelta(seconds=time)).isoformat(timespec="milliseconds"),
            "mono": (time - self.boot_began) * 1000.0,
            "boot": self.boot,
        }

    def add(
        self,
        kind: str,
        field: str,
        typed: str = "",
        unit: str | None = None,
        *,
        at: float | None = None,
        supersedes: str | None = None,
    ) -> dict[str, Any]:
        """Store one event and give it back."""
        number = len(self.events)
        event: dict[str, Any] = {
            "id": f"01990000-0000-7000-8000-{number:012x}",
            "device": "device-1",
            "seq": number,
            **self.moment(at),
            "job": self.job,
            "kind": kind,
            "field": field,
            "typed": typed,
            "unit": unit,
        }
        if supersedes is not None:
            event["supersedes"] = supersedes
        self.events.append(event)
        return event

    def reboot(self) -> None:
        """The phone or the page starts anew: another boot, its clock at zero."""
        self.boot = f"boot-{int(self.boot.split('-')[1]) + 1}"
        self.boot_began = self.now
        self.add("resumed", "app.resumed")

    def describe_car(self) -> None:
        """All that is known before the fan is off, the level cold and the cap replaced."""
        for field, typed, unit in (
            ("car.name", "Selwick Larkspur 2.4", None),
            ("arrival.hot", "no", None),
            ("work.where", "workshop", None),
            ("work.route", "measure", None),
            ("car.drive", "no_high_voltage", None),
            ("complaint.words", "It only drips at night", None),
            ("car.cap_rating", "110", "kPa"),
            ("car.capacity", "7.6", "L"),
            ("car.glycol", "ethylene", None),
            ("owner.rate", "0.35", "L/1000 km"),
            ("car.odometer", "84000", "km"),
            ("quote.diagnosis", "90", "1"),
            ("place.altitude", "190", "m"),
            ("place.ambient", "8", "°C"),
            ("tester.span", "160", "kPa"),
            ("tester.division", "2", "kPa"),
            ("tester.stroke_volume", "40", "mL"),
            ("tester.adapter", "Neck, wide", None),
            ("tester.self_fall", "0", "kPa"),
            ("safe.memory", "battery_stays", None),
            ("safe.key", "engine_cold", None),
            ("car.raised", "on_ground", None),
            ("cold.level", "-5", "mm"),
            ("cold.strength", "47", "%"),
            ("coolant.condition", "clean", None),
            ("oil.engine", "clean", None),
            ("oil.transmission", "clean", None),
            ("cap.how", "replaced", None),
        ):
            self.now += 5.0
            self.add("fact", field, typed, unit)
        for field in ("tester.self_seen", "told.seen", "safe.secured", "look.seen"):
            self.add("done", field)

    def pass_the_gate(self, temperature: str = "10", pressure: str = "hose_soft") -> None:
        """The evidence that the system is cold and without pressure."""
        self.now += 5.0
        self.add("fact", "coolant.temperature", temperature, "°C")
        self.add("fact", "system.pressure_sign", pressure)

    def fit_the_tester(self, strokes: str = "5") -> None:
        """From the open gate to the pumped-up system."""
        for kind, field, typed, unit in (
            ("done", "fan.off", "", None),
            ("fact", "hold.level", "to_neck", None),
            ("done", "tester.fitted", "", None),
            ("fact", "hold.strokes", strokes, "1"),
        ):
            self.now += 5.0
            self.add(kind, field, typed, unit)

    def read(self, typed: str, unit: str = "kPa", *, after: float = 60.0) -> dict[str, Any]:
        """One reading, so many seconds after the last event."""
        self.now += after
        return self.add("reading", "hold.pressure", typed, unit)
