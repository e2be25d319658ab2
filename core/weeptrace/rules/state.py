"""The car's state, checked: its variables, what fields do to them, conditions that name them.

A condition of a gate names ``state.NAME``. Compiled it names the fields that give the variable,
each within the age that the variable lasts: so a page finds the hand that gives it, and no second
list says which.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from weeptrace.quantity import SI
from weeptrace.rules import conditions
from weeptrace.rules.figures import sourced
from weeptrace.rules.model import UNKNOWN
from weeptrace.rules.shape import Shape, check
from weeptrace.rules.source import Source, instead
from weeptrace.rules.typed import PREFIX

FILE: Final = "state.toml"
MEASURED: Final = "measured"
_FILE: Final = Shape({"variable": "table"}, {"happening": "table"})
_VARIABLE: Final = Shape(
    {"source": "text", "reason": "text"},
    {"words": "words", "dimension": "text", "lasts": "text", "keeps": "text", "tells": "table"},
)
_HAPPENING: Final = Shape({"effects": "table", "source": "text", "reason": "text"})


def state(source: Source) -> dict[str, dict[str, Any]]:
    """Every variable with what gives and undoes it: ``given``, lists of field, word, and what then.

    The word is None where any answer does it. The fields lose their ``effects``: they stand here.
    """
    table = check(source, FILE, "", source.read(FILE) or {"variable": {}}, _FILE)
    raw = {} if table is None else table
    out = {
        id: _variable(source, f"variable.{id}", each)
        for id, each in raw.get("variable", {}).items()
    }
    source.state = out
    happenings: dict[str, dict[str, str]] = {}
    for id, each in raw.get("happening", {}).items():
        full = f"happening.{id}"
        entry = check(source, FILE, full, each, _HAPPENING)
        happenings[id] = {}
        if entry is not None:
            sourced(source, FILE, full, entry)
            happenings[id] = dict(_known(source, FILE, full, entry["effects"]))
    used: set[str] = set()
    for name, field in source.fields.items():
        for word, effects in _of(source, name, field.pop("effects", {})):
            for variable, value in _all(source, name, effects, happenings, used):
                out[variable]["given"].append([name, word, value])
    for id in sorted(set(happenings) - used):
        source.fault(
            FILE, f"happening.{id}", "happens nowhere; name it in a field's effects, or remove it"
        )
    _complete(source, out)
    return out


def _variable(source: Source, id: str, raw: Any) -> dict[str, Any]:
    made: dict[str, Any] = {
        "words": [], "dimension": None, "lasts": None, "keeps": None, "tells": {}, "given": [],
    }  # fmt: skip
    entry = check(source, FILE, id, raw, _VARIABLE)
    if entry is None:
        return made
    sourced(source, FILE, id, entry)
    if ("words" in entry) == ("dimension" in entry):
        source.fault(
            FILE, id, "needs either words or a dimension; add the one, or remove the other"
        )
        entry.pop("dimension", None)
    if "dimension" in entry and entry["dimension"] not in SI:
        words = f"has an unknown dimension “{entry['dimension']}”"
        source.fault(FILE, id, f"{words}; {instead(entry['dimension'], SI)}")
    lasts = entry.get("lasts")
    if lasts is not None and not source.named("limits", lasts):
        words = f"lasts as long as an unknown limit “{lasts}”"
        source.fault(FILE, id, f"{words}; {instead(lasts, source.limits)}")
    value, dimension = source.limits.get(str(lasts), (None, None))
    if dimension not in (None, "time") or (value is not None and value <= 0.0):
        words = f"lasts as long as “{lasts}”, no time above zero"
        source.fault(FILE, id, f"{words}; write a limit in min")
    kept = entry.get("keeps")
    if kept is not None and kept not in entry.get("words", ()):
        words = f"keeps “{kept}”, none of its words"
        source.fault(FILE, id, f"{words}; {instead(kept, entry.get('words', ()))}")
    for word in entry.get("tells", {}):
        if word not in entry.get("words", ()):
            words = f"tells of “{word}”, none of its words"
            source.fault(FILE, id, f"{words}; {instead(word, entry.get('words', ()))}")
    return {**made, **{key: entry[key] for key in made if key in entry}}


def _of(
    source: Source, field: str, effects: Mapping[str, Any]
) -> Iterator[tuple[str | None, Mapping[str, Any]]]:
    """Effects by the word that has them; None: any answer."""
    file = source.places.get(field, "fields")
    options = source.fields[field].get("options", ())
    plain = {key: each for key, each in effects.items() if key not in options}
    if plain:
        yield None, plain
    for key, each in effects.items():
        if key in options and not isinstance(each, dict):
            words = f"has for “{key}” an effect that is no table"
            source.fault(file, field, f"{words}; write {key} = {{ variable = word }}")
        elif key in options:
            yield key, each


def _all(
    source: Source, field: str, effects: Any, happenings: Mapping[str, Mapping[str, str]],
    used: set[str],
) -> Iterator[tuple[str, str]]:  # fmt: skip
    """What an answer does to the variables: by what happens with it, and by itself."""
    file = source.places.get(field, "fields")
    own = dict(effects)
    made: dict[str, str] = {}
    for name in own.pop("happens", ()):
        if name not in happenings:
            words = f"has an unknown happening “{name}” among its effects"
            source.fault(file, field, f"{words}; {instead(name, happenings)}")
            continue
        used.add(name)
        made |= happenings[name]
    made |= _known(source, file, field, own)
    yield from made.items()


def _known(source: Source, file: str, id: str, effects: Mapping[str, Any]) -> Iterator[Any]:
    """The effects on variables that there are, with words that they have; faults are noted."""
    for name, value in effects.items():
        variable = source.state.get(name)
        if variable is None:
            words = f"has an effect on an unknown variable “{name}”"
            source.fault(file, id, f"{words}; {instead(name, source.state)}")
            continue
        may = [UNKNOWN, *(variable["words"] or [MEASURED])]
        if value not in may:
            words = f"makes “{name}” “{value}”, which it can't be"
            source.fault(file, id, f"{words}; {instead(value, may)}")
            continue
        yield name, value


def _complete(source: Source, variables: Mapping[str, Mapping[str, Any]]) -> None:
    """Each variable is given by a field, and each of its words is undone by another answer."""
    if source.partial & {"fields", "state"} or source.faults:
        return
    for id, variable in variables.items():
        made = {value for _, _, value in variable["given"]}
        wanted = variable["words"] or [MEASURED]
        for word in wanted:
            if word not in made:
                words = f"is never “{word}”: no field has that effect"
                source.fault(
                    FILE, f"variable.{id}", f"{words}; add it to a field, or remove the word"
                )
            elif made == {word} and variable["lasts"] is None:
                words = f"stays “{word}” for ever: nothing undoes it"
                source.fault(
                    FILE, f"variable.{id}", f"{words}; add an effect that does, or lasts = a limit"
                )
        for name in {name for name, _, _ in variable["given"]}:
            if "shown_by" in source.fields[name] and variable["lasts"] is None:
                words = f"rests on “{name}”, which never expires"
                source.fault(
                    FILE, f"variable.{id}", f'{words}; add lasts = "gate.…", a limit of time'
                )


def read_by(source: Source, read: set[str]) -> None:
    """Each variable is read by a gate, or told where the work stops."""
    if source.faults:
        return
    for id, variable in source.state.items():
        if id not in read and not variable["tells"]:
            words = "is read by no gate and told nowhere"
            source.fault(FILE, f"variable.{id}", f"{words}; add it to a gate, or remove it")


def expanded(source: Source, tree: conditions.Tree) -> tuple[conditions.Tree, list[str]]:
    """A condition with the fields that give the variables in it, and what makes those stale."""
    apart = {part[1] for part in conditions.ages(tree)}
    made = _expand(source, tree, apart)
    wanted: dict[str, set[str]] = {}
    for word, left, right in conditions.comparisons(tree):
        if left[0] == "field" and left[1].startswith(PREFIX):
            given = {right[1]} if word == "==" else {MEASURED}
            wanted.setdefault(left[1].removeprefix(PREFIX), set()).update(given)
    evidence = {part[1] for part in conditions.ages(made)}
    stale = [
        name if word is None else f"{name} {word}"
        for id, words in wanted.items()
        if source.state[id]["lasts"] is not None
        for name, word, value in source.state[id]["given"]
        if value not in words and name not in evidence
    ]
    return made, list(dict.fromkeys(stale))


def _expand(source: Source, tree: conditions.Tree, apart: set[str]) -> conditions.Tree:
    word = tree[0]
    if word in ("and", "or"):
        parts: list[conditions.Tree] = []
        for part in (_expand(source, each, apart) for each in tree[1:]):
            parts += part[1:] if part[0] == word else [part]
        aged = {part[1] for part in parts if part[0] == "within"} if word == "and" else set()
        left = [part for part in parts if not (part[0] == "known" and part[1] in aged)]
        return left[0] if len(left) == 1 else [word, *left]
    if word == "not":
        return ["not", _expand(source, tree[1], apart)]
    if word == "within" and tree[1].startswith(PREFIX):
        return _either([["within", name, tree[2]] for name in _givers(source, tree[1])])
    if word in ("known", "within") or tree[1][0] != "field" or not tree[1][1].startswith(PREFIX):
        return tree
    named = tree[1][1]
    value = tree[2][1] if tree[2][0] == "word" else MEASURED
    return _either(
        [
            _given(source, tree, field, value, named in apart)
            for field in _givers(source, named, value)
        ]
    )


def _given(
    source: Source, tree: conditions.Tree, field: str, value: str, apart: bool
) -> conditions.Tree:
    """A comparison of a variable as one of a field that gives it, within the age that it lasts."""
    variable = source.state[tree[1][1].removeprefix(PREFIX)]
    measured = value == MEASURED
    found = (
        [tree[0], ["field", field], tree[2]] if measured else _is(source, variable, field, value)
    )
    if variable["lasts"] is None or apart:
        return found
    within = ["within", field, ["limit", variable["lasts"]]]
    parts = [] if found[0] == "known" else found[1:] if found[0] == "and" else [found]
    return ["and", within, *parts] if parts else within


def _either(ways: list[conditions.Tree]) -> conditions.Tree:
    return ways[0] if len(ways) == 1 else ["or", *ways]


def _givers(source: Source, name: str, value: str = "") -> list[str]:
    """The fields that give a variable its value by evidence, or at all where none is needed."""
    given = source.state[name.removeprefix(PREFIX)]["given"]
    own = dict.fromkeys(field for field, _, made in given if made == value or not value)
    return [field for field in own if "shown_by" in source.fields[field]] or list(own)


def _is(source: Source, variable: Mapping[str, Any], field: str, value: str) -> conditions.Tree:
    """That the answer to a field gives a value: by its words, or by the few that don't."""
    words = [word for name, word, made in variable["given"] if name == field and made == value]
    if words == [None]:
        return ["known", field]
    others = [word for word in source.fields[field]["options"] if word not in words]
    if len(others) < len(words):
        parts = [["!=", ["field", field], ["word", word]] for word in others]
        return parts[0] if len(parts) == 1 else ["and", *parts]
    parts = [["==", ["field", field], ["word", word]] for word in words]
    return parts[0] if len(parts) == 1 else ["or", *parts]
