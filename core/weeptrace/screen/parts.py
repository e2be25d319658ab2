"""The parts that views are put together from: keys, rows, pads. Plain data, one function each."""

from __future__ import annotations

from typing import Any

from weeptrace.job import judge
from weeptrace.job.state import Job
from weeptrace.quantity import below, from_si, parse, to_si, units_of
from weeptrace.rules import Field, Rules
from weeptrace.screen.figures import Show
from weeptrace.told import signed

Json = dict[str, Any]

KIND = {kind: kinds[0] for kind, kinds in judge.EVENT_KINDS.items()}


def event(field: str, kind: str, typed: str = "", supersedes: str | None = None) -> Json:
    """An event for the shell to complete and store."""
    made: Json = {"kind": kind, "field": field, "typed": typed, "unit": None}
    return made if supersedes is None else {**made, "supersedes": supersedes}


def key(label: str, do: Json, icon: str | None = None, sub: str | None = None) -> Json:
    """A key that can be pressed."""
    return {"label": label, "sub": sub, "icon": icon, "do": do}


def state(
    shape: str | None,
    word: str,
    lines: list[str] | None = None,
    figure: str = "",
    framed: bool = False,
    do: Json | None = None,
) -> Json:
    """A row with a state shape."""
    row: Json = {
        "block": "state",
        "shape": shape,
        "word": word,
        "lines": lines or [],
        "figure": figure,
        "framed": framed,
    }
    return row if do is None else {**row, "do": do}


def choice(rules: Rules, field: Field, usual: object = None) -> Json:
    """The options of a choice, none chosen beforehand; ``usual`` is what the shop mostly takes."""
    return {
        "block": "choice",
        "rows": [
            {
                "label": rules.text(field.word(word)),
                "sub": rules.text("screen.usual")
                if word == usual
                else rules.told(rules.texts.get(f"choice_sub.{field.id}.{word}", "")),
                "chosen": False,
                "do": {"event": event(field.id, "fact", word)},
            }
            for word in field.options
        ],
    }


def stop_key(rules: Rules, gate: str) -> Json:
    """The key that answers a gate with "stop, refer", for a reason."""
    reason = {"reason": event(f"gate.{gate}", "stopped")}
    return key(rules.text("screen.stop_refer"), reason, "stop")


def title(text: str, count: str = "") -> Json:
    """The title of a screen."""
    return {"block": "title", "text": text, "count": count}


def prompt(text: str) -> Json:
    """What to do, in one imperative."""
    return {"block": "prompt", "text": text}


def heading(text: str) -> Json:
    """A heading within a screen."""
    return {"block": "heading", "text": text}


def table(
    rows: list[list[str]], heads: list[str] | None = None, figures: tuple[int, ...] = ()
) -> Json:
    """A table; the first column names the row. ``figures``: the columns that hold figures."""
    return {"block": "table", "heads": heads or [], "rows": rows, "figures": list(figures)}


def caution(text: str, level: str) -> Json:
    """A caution or a warning, shown before the hand moves."""
    return {"block": "caution", "level": level, "text": text}


def hazard(rules: Rules, id: str) -> Json:
    """What is said of a hazard before the hand moves."""
    return caution(rules.text(rules.cautions[id]), rules.level(id))


def words(show: Show, name: str) -> Json:
    """A line of words to type and store, of a text field."""
    return {
        "block": "text",
        "event": event(name, "fact"),
        "label": show.say(f"field.{name}"),
        "longest": show.rules.fields[name].longest,
        "store": show.say("shared.key.store"),
    }


def pad(
    show: Show,
    job: Job,
    field: Field,
    supersedes: str | None = None,
) -> Json:
    """The number pad of a field: its unit, accepted range, resolution and last value.

    Never pre-filled. For a needle, the step is half a division of the tester's gauge.
    """
    dimension = field.dimension or "ratio"
    counted = field.kind == "count"
    unit = "1" if counted else show.unit(field.unit_key)
    division = _division(job, field, unit)
    low, high, _ = judge.bounds(show.rules, job, field)
    shown = [from_si(low, unit), from_si(high, unit)]
    step = division / 2 if division else float(10 ** -show.rules.decimals[unit])
    others = [u for u in units_of(dimension) if u in show.rules.decimals and u != "1"]
    return {
        "block": "pad",
        "event": event(field.id, KIND[field.kind], supersedes=supersedes),
        "label": show.rules.texts.get(f"pad.{field.id}") or show.say(f"field.{field.id}"),
        "unit": "" if counted else unit,
        "units": [] if counted else [unit, *(u for u in others if u != unit)],
        "step": step,
        "division": division,
        "signed": field.signed,
        **_last(job, field, unit),
        "hints": [
            *_usual(show, job, field, unit),
            *([show.say("pad_hint.division", division=division)] if division else []),
            _ends(show, job, field, shown),
        ],
    }


def _ends(show: Show, job: Job, field: Field, shown: list[float]) -> str:
    """The rating, where there is one, for above it a needle is let off; else the accepted range."""
    rating = job.value(field.rated) if field.rated else None
    if isinstance(rating, float):
        number = show.number(rating, field.unit_key, down=True)
        return show.say("pad_hint.rating", rating=number)
    return show.say("pad_hint.range", low=_neat(shown[0], up=True), high=_neat(shown[1]))


def usual(job: Job, field: Field) -> float | str | None:
    """What the shop mostly takes for this field, where it was entered once."""
    return job.value(f"shop.{field.id.partition('.')[2]}")


def _usual(show: Show, job: Job, field: Field, unit: str) -> list[str]:
    value = usual(job, field)
    if not isinstance(value, float) or field.kind != "quantity":
        return []
    return [show.say("pad_hint.usual", value=_neat(from_si(value, unit)))]


def _neat(value: float, up: bool = False) -> str:
    """An end of a range, never told outside it: to two decimals, from a thousand on to none."""
    decimals = 0 if abs(value) >= 1000.0 else 2
    number = -below(-value, decimals) if up else below(value, decimals)
    text = f"{number:.{decimals}f}"
    neat = text.rstrip("0").rstrip(".") if decimals else text
    return "0" if neat == "-0" else signed(neat)


def _division(job: Job, field: Field, unit: str) -> float | None:
    """The gauge's division in the pad's unit, for its needle; a thermometer has none."""
    division = job.value("tester.division")
    needle = field.kind == "reading" and field.dimension == "pressure"
    if not needle or not isinstance(division, float):
        return None
    return round(from_si(division, unit), 6)


def _last(job: Job, field: Field, unit: str) -> Json:
    """The last reading of a series, and whether "same as last" is offered (from the fourth on)."""
    if field.kind != "reading" or not job.present(field.id).readings:
        return {"last": None, "same_as_last": False}
    times = job.present(field.id).times()
    fact = times[-1][1]
    dimension = field.dimension or "ratio"
    value = to_si(parse(fact.event.typed).value, fact.event.unit or unit, dimension)
    shown = from_si(value, unit)
    typed = fact.event.typed if fact.event.unit == unit else f"{shown:.4g}"
    return {"last": {"typed": typed, "value": shown}, "same_as_last": len(times) >= 3}
