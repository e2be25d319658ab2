"""The tester before it meets the car: which adapter, and what it loses by itself on a blank."""

from __future__ import annotations

from typing import Final

from weeptrace.job.procedure import fall_in_divisions
from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen import parts
from weeptrace.screen.figures import Show, day
from weeptrace.screen.pages.step import keys, step_caution
from weeptrace.screen.parts import Json

BENCH: Final = "tester.own_fall"


def adapter_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """Which of the shop's adapters fits; another one is typed."""
    say = show.say
    field = show.rules.fields["tester.adapter"]
    rows = [
        {
            "label": name,
            "sub": "",
            "chosen": False,
            "do": {"event": parts.event(field.id, "fact", name)},
        }
        for name in adapters(job)
    ]
    body = [
        parts.title(say(f"step.{step.id}.title")),
        parts.prompt(show.say(f"step.{step.id}.prompt")),
        *([{"block": "choice", "rows": rows}] if rows else []),
        {
            "block": "text",
            "event": parts.event(field.id, "fact"),
            "label": say("screen.another_adapter" if rows else f"field.{field.id}"),
            "longest": field.longest,
            "store": say("shared.key.store"),
        },
    ]
    return body, {"caution": None, "keys": keys(show.rules, step, field), "main": None}


def adapters(job: Job) -> list[str]:
    """The shop's adapters: what stands between the commas."""
    listed = str(job.value("tester.adapters") or "")
    return [name for part in listed.split(",") if (name := part.strip())]


def self_test_blocks(show: Show, job: Job, step: Step) -> tuple[list[Json], Json]:
    """What the tester loses by itself: tight enough, or to be mended before the car is judged."""
    rules, say = show.rules, show.say
    fact = job.facts["tester.self_fall"]
    division = job.facts["tester.division"]
    loses = fall_in_divisions(job)
    sound = loses is None or loses <= rules.limits["recorder.self_fall_divisions"]
    fall = show.fact(rules.fields["tester.self_fall"], fact)
    half = rules.limits["recorder.self_fall_divisions"]
    rows = [
        [say("field.tester.division"), show.fact(rules.fields["tester.division"], division)],
        [say("field.tester.adapter"), str(job.value("tester.adapter") or show.unmeasured())],
        [say(f"field.{BENCH}"), at_the_bench(show, job)],
    ]
    words = say("screen.tester_sound" if sound else "screen.tester_leaks")
    lines = [say("screen.tester_counted" if sound else "screen.tester_mend")]
    if loses is not None:
        lines.insert(0, say("tester.loses", fall=fall, divisions=f"{loses:.2g}", most=f"{half:g}"))
    body = [
        parts.title(say(f"step.{step.id}.title")),
        parts.state("done" if sound else "stop", words, lines, framed=True),
        parts.table(rows),
    ]
    again = {"event": parts.event("tester.self_again", "mark")}
    seen = {"event": parts.event("tester.self_seen", "done")}
    anyway = {"reason": parts.event("tester.used_leaking", "fact")}
    again_key = parts.key(say("field.tester.self_again"), again, "pump")
    if sound:
        main = parts.key(say(f"step.{step.id}.main"), seen, "tick")
        return body, {"caution": None, "keys": [again_key], "main": main}
    foot = [parts.key(say("field.tester.used_leaking"), anyway)]
    return body, {"caution": step_caution(show, step), "keys": foot, "main": again_key}


def at_the_bench(show: Show, job: Job) -> str:
    """The tester's own fall as it was entered once, with the day of that."""
    fact = job.facts.get(BENCH)
    if fact is None or fact.value is None:
        return show.unmeasured()
    fall = show.fact(show.rules.fields[BENCH], fact)
    return show.say("tester.dated", fall=fall, day=day(fact.event.at))
