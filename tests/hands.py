"""A pair of hands for tests: answers whatever the present step asks, until a step or the end."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tests.logbook import Logbook
from weeptrace.job.advance import advance
from weeptrace.job.car.left import BACK
from weeptrace.job.car.parts import parts_out
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import Known, Position, position
from weeptrace.job.state import EMPTY, Job
from weeptrace.rules import Field, Step, conditions, load

RULES: Final = load()
SKIP: Final = ("", None)
LOW: Final = ("on_ground", None)
MOST: Final = 400  # steps; a job that takes more goes in a circle

Answer = tuple[str, str | None]

# What is answered where a test does not say otherwise; a choice without one takes its first word.
USUAL: Final[dict[str, Answer]] = {
    "car.name": ("Selwick Heron van", None),
    "work.route": ("measure", None),
    "car.cap_rating": ("110", "kPa"),
    "car.capacity": ("7.6", "L"),
    "place.ambient": ("20", "°C"),
    "place.altitude": ("190", "m"),
    "tester.span": ("160", "kPa"),
    "tester.division": ("2", "kPa"),
    "tester.stroke_volume": ("40", "mL"),
    "tester.self_fall": ("0", "kPa"),
    "cap.opening_1": ("108", "kPa"),
    "cap.opening_2": ("110", "kPa"),
    "cap.opening_3": ("109", "kPa"),
    "hold.level": ("to_neck", None),
    "hold.strokes": ("5", "1"),
    "after.strokes": ("5", "1"),
    "after.wanted": ("no_hold", None),
    "finding.place": ("radiator_seam", None),
    "repair.kind": ("radiator", None),
    "quote.total": ("480", "1"),
    "quote.ceiling": ("560", "1"),
    "consent.how": ("spoken", None),
    "extra.how": ("spoken", None),
    "extra.price": ("40", "1"),
    "broken.price": ("0", "1"),
    "ceiling.how": ("spoken", None),
    "coolant.missing_before": ("0", "L"),
    "coolant.drained": ("4.3", "L"),
    "coolant.residual_strength": ("35", "%"),
    "coolant.target_strength": ("50", "%"),
    "coolant.filled": ("4.3", "L"),
    "coolant.spilled": ("0", "L"),
    "transmission.caught": ("430", "g"),
    "transmission.filled": ("430", "g"),
    "fastener.off": ("14", "1"),
    "fastener.on": ("14", "1"),
    "fill.how": ("open_neck", None),
    "dry.wanted": ("no_dry_air", None),
    "test.block_evening": ("21", "°C"),
    "test.air_evening": ("17", "°C"),
    "test.strokes": ("9", "1"),
    "test.evening": ("85", "kPa"),
    "test.morning": ("72", "kPa"),
    "test.block_morning": ("13", "°C"),
    "test.air_morning": ("11", "°C"),
}
NEEDLES: Final[dict[str, tuple[Answer, ...]]] = {
    "hold.pressure": tuple((n, "kPa") for n in ("110", "109", "107", "106", "105", "103")),
    "test.pressure": tuple((n, "kPa") for n in ("110", "109", "109", "108", "108", "107")),
    "after.pressure": tuple((n, "kPa") for n in ("110", "110", "109", "109", "109", "109")),
    "dry.pressure": tuple((n, "kPa") for n in ("60", "60", "60", "60", "60", "60")),
    "vacuum.pressure": tuple((n, "kPa") for n in ("85", "85", "85", "85", "85", "85")),
    "warm.coolant": tuple((n, "°C") for n in ("20", "45", "70", "88", "92")),
}
_KINDS: Final = {"yes": "done", "photo": "photo", "mark": "mark"}


def puts_back(job: Job, gate: str) -> list[tuple[str, str, str]]:
    """What is pressed at a gate for what is not back as it was: kind, field, typed."""
    known = Known(RULES, job)
    names = [name for name in conditions.fields(RULES.gates[gate].opens) if known[name]]
    backs = [BACK[name] for name in names if name in BACK]
    return [("fact" if back.typed else "done", back.field, back.typed) for back in backs]


class Hands:
    """Works on a log. ``answers`` differ from the usual ones; ``SKIP`` is "not measured"."""

    def __init__(self, log: Logbook, answers: Mapping[str, Answer] | None = None) -> None:
        self.log = log
        self.answers = {**USUAL, **(answers or {})}
        self.passed: list[str] = []  # steps and gates, as they were met
        self._job, self._taken = EMPTY, 0

    @property
    def job(self) -> Job:
        """The job of all events so far."""
        for event in self.log.events[self._taken :]:
            self._job = advance(RULES, self._job, event)
        self._taken = len(self.log.events)
        return self._job

    def stand(self) -> Position:
        """Where the job stands now."""
        return position(RULES, self.job, read_moment(self.log.moment()))

    def at(self) -> str:
        """The present step, or the shut gate before it; "closed" at the end."""
        here = self.stand()
        if here.step is None:
            return "closed"
        return f"gate.{here.gate.id}" if here.gate is not None else here.step.id

    def until(self, end: str) -> Hands:
        """Answer step after step until this step, this gate, or "closed"."""
        for _ in range(MOST):
            here = self.at()
            if here == end:
                return self
            assert here != "closed", f"closed without {end}: {self.passed}"
            self.passed.append(here)
            self.answer()
        raise AssertionError(f"in a circle before {end}: {self.passed[-12:]}")

    def answer(self) -> None:
        """Do what stands on the screen."""
        self.log.now += 5.0
        here = self.stand()
        assert here.step is not None
        if here.gate is not None:
            self._open(here.gate.id, here.step.id)
        elif here.step.reads is not None and here.step.asks is None:
            self._read(here.step.reads)
        elif here.step.shows == "ledger_off":
            self._take_off()
        elif here.step.shows == "ledger_on":
            for part in parts_out(RULES, self.job)[::-1]:
                self.log.add("fact", part.id, "on")
            self.log.add("done", "ledger.on_complete")
        elif here.step.asks is None:
            for name in here.step.checks:
                self.log.add("done", name)
        else:
            self._say(here.step, RULES.fields[here.step.asks])
        self._taken_all(here.step)

    def _open(self, gate: str, step: str) -> None:
        """Show what a gate asks; no other opens by a hand."""
        if gate == "cold":
            self.log.pass_the_gate()
        elif gate == "stands":
            self.log.add("fact", "car.raised", str(self.answers.get("car.raised", LOW)[0]))
            for tick in ("set", "pushed", "rocked"):
                self.log.add("done", f"stands.{tick}")
        elif gate == "key_away":
            self.log.add("fact", "safe.key", "engine_cold")
        elif gate == "cool_metal":
            self.log.add("fact", "coolant.temperature", "20", "°C")
        elif gate == "open_air":
            self.log.add("fact", "engine.air", "outdoors")
        elif gate in ("closed_up", "on_wheels", "ready_to_run"):
            for kind, field, typed in puts_back(self.job, gate):
                self.log.add(kind, field, typed)
        else:
            field = {"fan_safe": "fan.off", "fan_back": "fan.on"}.get(gate)
            assert field is not None, f"gate {gate} stands before {step}"
            self.log.add("done", field)

    def _taken_all(self, step: Step) -> None:
        assert not self.job.troubles, (step.id, self.job.troubles)

    def _read(self, field: str) -> None:
        for typed, unit in NEEDLES[field]:
            self.log.now += 60.0
            self.log.add("reading", field, typed, unit)
        self.log.add("mark", f"{field.partition('.')[0]}.ended")

    def _take_off(self) -> None:
        kind = self.job.value("repair.kind")
        shut = self.job.value("repair.opened") == "reseated"  # nothing came off its neck
        for field in RULES.fields.values():
            if shut and field.holds_coolant:
                continue
            if kind in field.belongs and ".own_" not in field.id:
                self.log.add("fact", field.id, "off")
        self.log.add("done", "ledger.off_complete")

    def _say(self, step: Step, field: Field) -> None:
        said = self.answers.get(field.id)
        if field.id == "job.closed":
            self.log.add("closed", field.id)
        elif said == SKIP or (said is None and step.skip):
            assert step.skip, f"{step.id} can't be skipped"
            self.log.add("not_done", field.id)
        elif said is not None:
            self.log.add(_KINDS.get(field.kind, "fact"), field.id, *said)
        elif field.kind == "choice":
            self.log.add("fact", field.id, field.options[0])
        else:
            self.log.add(_KINDS.get(field.kind, "fact"), field.id, "Sand")
