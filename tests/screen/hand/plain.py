"""The contract's plain data, written out by hand: an event, a key, a row, a foot."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]
NBSP = "\N{NO-BREAK SPACE}"


def event(kind: str, field: str, typed: str = "", supersedes: str | None = None) -> Json:
    made: Json = {"kind": kind, "field": field, "typed": typed, "unit": None}
    if supersedes is not None:
        made["supersedes"] = supersedes
    return made


def stores(kind: str, field: str, typed: str = "", supersedes: str | None = None) -> Json:
    """What a press stores at once."""
    return {"event": event(kind, field, typed, supersedes)}


def key(label: str, do: Json, icon: str | None = None, sub: str | None = None) -> Json:
    return {"label": label, "sub": sub, "icon": icon, "do": do}


def row(
    shape: str | None,
    word: str,
    *lines: str,
    figure: str = "",
    framed: bool = False,
    do: Json | None = None,
) -> Json:
    made: Json = {"block": "state", "shape": shape, "word": word, "lines": list(lines),
                  "figure": figure, "framed": framed}  # fmt: skip
    return made if do is None else {**made, "do": do}


def title(text: str, count: str = "") -> Json:
    return {"block": "title", "text": text, "count": count}


def heading(text: str) -> Json:
    return {"block": "heading", "text": text}


def prompt(text: str) -> Json:
    return {"block": "prompt", "text": text}


def caution(text: str, level: str = "caution") -> Json:
    return {"block": "caution", "level": level, "text": text}


def table(*rows: list[str], figures: tuple[int, ...] = (1,)) -> Json:
    return {"block": "table", "heads": [], "rows": list(rows), "figures": list(figures)}


def foot(main: Json | None, *keys: Json, caution: Json | None = None) -> Json:
    return {"caution": caution, "keys": list(keys), "main": main}
