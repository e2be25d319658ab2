"""The conditions of the rules in plain words, for whoever looks at a procedure as a picture."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from weeptrace.rules import Rules
from weeptrace.rules.conditions import Tree
from weeptrace.screen.figures import NBSP, Show

# Figures that a job computes: no hand types them, so no field names them.
COMPUTED: Final = {
    "ledger.out": "parts still off",
    "ledger.out_to_run": "parts still off that the engine needs to run",
    "tester.fall_in_divisions": "the tester's own fall, in divisions",
    "rounds.drained": "rounds in which the coolant came out",
    "cap.outside": "openings of the cap outside its tolerance",
    "hold.gross": "holds judged gross",
    "ledger.opened": "joints opened",
    "ledger.unfilled": "joints opened and not filled since",
    "ledger.unlevelled": "joints opened since the level was seen",
    "left.level": "level moved for a test",
    "left.neck": "neck not known closed",
    "left.plugs": "plugs out",
    "left.clamps": "heater hoses clamped",
    "left.tray": "under-tray not known on",
    "left.tester": "tester on the neck",
    "left.belt": "timing belt not turned by hand",
    "left.raised": "car still raised",
    "left.coolant": "coolant out",
    "seen.liquid": "signs of liquid in a cylinder",
    "seen.oil": "signs of coolant mixed with an oil",
    "fill.unbled": "air that a large top-up left",
    "seen.unfit": "answers against driving",
    "seen.wet_since": "liquid shown again since it was answered",
    "seen.fell": "level below MIN since",
    "quote.over": "price above the ceiling",
}
_COMPARED: Final = {
    "<": "is below", "<=": "is not above", ">": "is above", ">=": "is not below",
    "==": "is", "!=": "is not",
}  # fmt: skip


def plain(show: Show, tree: Tree) -> str:
    """A condition in words: "Coolant temperature is below 50 °C, and Wet again is not Dry"."""
    word, parts = tree[0], tree[1:]
    if word in ("and", "or") and len(parts) == 1:
        return plain(show, parts[0])
    if word in ("and", "or"):
        return f", {word} ".join(_together(show, word, list(_flat(tree, word))))
    if word == "not":
        known = parts[0][0] == "known"
        return (
            f"{_name(show.rules, parts[0][1])} is not answered"
            if known
            else f"not ({plain(show, parts[0])})"
        )
    if word == "known":
        return f"{_name(show.rules, parts[0])} is answered"
    if word == "within":
        age = show.rules.limits[parts[1][1]] / 60.0
        return f"{_name(show.rules, parts[0])} is not older than {age:g}{NBSP}min"
    left, right = parts
    asked = left[1] if left[0] == "field" else right[1] if right[0] == "field" else ""
    return f"{_value(show, left, asked)} {_COMPARED[word]} {_value(show, right, asked)}"


def parts_of(tree: Tree | None) -> list[Tree]:
    """What must all hold for a condition to hold."""
    return [] if tree is None else list(_flat(tree, "and"))


def _flat(tree: Tree, word: str) -> Iterator[Tree]:
    if tree[0] != word:
        yield tree
        return
    for part in tree[1:]:
        yield from _flat(part, word)


def _together(show: Show, word: str, parts: list[Tree]) -> Iterator[str]:
    """The parts in words; a field that may be one of several words, or none of them, once."""
    sign = "==" if word == "or" else "!="
    lists: dict[str, list[Tree]] = {}
    for part in parts:
        is_list = part[0] == sign and part[1][0] == "field" and part[2][0] == "word"
        lists.setdefault(part[1][1] if is_list else repr(part), []).append(part)
    for name, group in lists.items():
        if len(group) == 1:
            yield _inner(show, group[0], word)
            continue
        *options, last = (_value(show, part[2], name) for part in group)
        joined = f"{', '.join(options)} {'or' if word == 'or' else 'nor'} {last}"
        yield f"{_name(show.rules, name)} is {'' if word == 'or' else 'neither '}{joined}"


def _inner(show: Show, tree: Tree, around: str) -> str:
    text = plain(show, tree)
    return f"({text})" if tree[0] in ("and", "or") and tree[0] != around else text


def _value(show: Show, tree: Tree, asked: str) -> str:
    """One side of a comparison; a number in the unit of the field that it is compared with."""
    kind, value = str(tree[0]), tree[1]
    if kind == "field":
        return _name(show.rules, value)
    field = show.rules.fields.get(asked)
    if kind == "word":
        return (
            str(show.rules.texts.get(field.word(value), value)) if field is not None else str(value)
        )
    number = show.rules.limits[value] if kind == "limit" else float(value)
    if field is None or field.dimension is None:
        return f"{number:g}"
    return show.figure(number, field.unit_key)


def _name(rules: Rules, id: str) -> str:
    """The label of a field, in quotation marks."""
    return f"“{COMPUTED.get(id) or rules.texts.get(f'field.{id}') or id}”"
