"""The browser's runtime gives what CPython gives: every operation, inputs drawn around its sample.

The inputs are the sample with a few things changed: numbers scaled, signs turned, units swapped,
keys dropped or added, types broken. Many of them are refused; a refusal must be the same too.
"""

from __future__ import annotations

import copy
import json
import math
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright

from tests.browser.conftest import START, WATCHED, phone_with_server
from weeptrace import bridge, door
from weeptrace.quantity import UNITS

INPUTS = 50  # an operation
SEED = 20_260_101
RELATIVE = 1e-9  # of floats: libm differs in the last digits between C libraries
SMALLEST = 1e-12  # what counts as zero, in the units of the answer

FACTORS = (0.5, 0.9, 0.97, 0.999, 1.001, 1.03, 1.1, 2.0, 0.0, 10.0, 1e3, 1e9, 1e300, -1.0)
ODD_VALUES = (None, "", "7", [], {}, True, -1, 0, 1e308)


def below(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every place below ``value``: what holds it, and its key or index there."""
    keys = list(value) if isinstance(value, dict) else range(len(value))
    for key in keys:
        yield value, key
        if isinstance(value[key], dict | list):
            yield from below(value[key])


def is_number(value: Any) -> bool:
    """Whether a JSON value is a number; Python counts True as one."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def is_unit(value: Any) -> bool:
    """Whether a JSON value is the label of a unit."""
    return isinstance(value, str) and value in UNITS


def mutate(draw: random.Random, sample: dict[str, Any]) -> dict[str, Any]:
    """The sample with one to three changes, most of them to its numbers and units."""
    out = copy.deepcopy(sample)
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        nodes = list(below(out))
        leaves = [(h, k) for h, k in nodes if is_number(h[k]) or is_unit(h[k])]
        if leaves and draw.random() < 0.7:
            holder, key = draw.choice(leaves)
            vary(draw, holder, key)
        elif nodes:
            damage(draw, *draw.choice(nodes))
    return out


def vary(draw: random.Random, holder: Any, key: Any) -> None:
    """Another number, or another unit of the same dimension."""
    value = holder[key]
    if is_number(value):
        holder[key] = max(-1e308, min(1e308, value * draw.choice(FACTORS)))  # JSON has no inf
    else:
        dimension = UNITS[value][1]
        holder[key] = draw.choice([unit for unit in UNITS if UNITS[unit][1] == dimension])


def damage(draw: random.Random, holder: Any, key: Any) -> None:
    """A part that is missing, of another type, repeated, or unheard of."""
    kind = draw.randrange(4)
    if kind == 0:
        del holder[key]
    elif kind == 1:
        holder[key] = draw.choice(ODD_VALUES)
    elif isinstance(holder, list):
        holder.append(copy.deepcopy(holder[key]))
    elif kind == 2:
        holder["unheard_of"] = 1
    else:
        holder[key] = draw.choice(list(UNITS))


def drawn(name: str) -> list[dict[str, Any]]:
    """The inputs of one operation: its sample, that with a word too many (refused everywhere), then
    changed ones; the same in every run."""
    draw = random.Random(f"{SEED} {name}")
    sample = door.OPERATIONS[name].sample
    changed = [mutate(draw, sample) for _ in range(INPUTS - 2)]
    return [sample, {**sample, "unheard_of": 1}, *changed]


def differences(here: Any, there: Any, path: str = "") -> list[str]:
    """Where two answers differ; floats by more than ``RELATIVE``."""
    if isinstance(here, dict) and isinstance(there, dict):
        if here.keys() != there.keys():
            return [f"{path}: keys {sorted(here)} and {sorted(there)}"]
        return [
            line for key in here for line in differences(here[key], there[key], f"{path}.{key}")
        ]
    if isinstance(here, list) and isinstance(there, list):
        if len(here) != len(there):
            return [f"{path}: {len(here)} and {len(there)} items"]
        pairs = enumerate(zip(here, there, strict=True))
        return [line for i, (a, b) in pairs for line in differences(a, b, f"{path}[{i}]")]
    numbers = all(isinstance(x, int | float) and not isinstance(x, bool) for x in (here, there))
    if numbers and math.isclose(here, there, rel_tol=RELATIVE, abs_tol=SMALLEST):
        return []
    same = not numbers and type(here) is type(there) and here == there
    return [] if same else [f"{path}: {here!r} and {there!r}"]


ASK_ALL = """async (payloads) => {
  const answers = [];
  for (const payload of JSON.parse(payloads)) {
    answers.push(await window.tested.ask("call", payload, { timeout: 120000 }));
  }
  return JSON.stringify(answers);
}"""


def as_sent(value: Any) -> Any:
    """The value as JavaScript writes it: 90.0 as 90."""
    if isinstance(value, dict):
        return {key: as_sent(item) for key, item in value.items()}
    if isinstance(value, list):
        return [as_sent(item) for item in value]
    whole = isinstance(value, float) and value.is_integer() and abs(value) < 1e21
    return int(value) if whole else value


@pytest.fixture(scope="module")
def page(
    playwright: Playwright, dist: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Page]:
    """A page with a running engine, one for all operations."""
    folder = tmp_path_factory.mktemp("parity")
    with phone_with_server(playwright, dist, folder) as (phone, server):
        phone.quick = False
        page = phone.start()
        page.goto(f"{server.url}test-page.html")
        page.evaluate(START, f"/{WATCHED}")
        yield page


# A phone has no practice world in it (webshell/tools/pack.py).
ON_A_PHONE = [name for name in door.OPERATIONS if not name.startswith("practice.")]


@pytest.mark.parametrize("name", ON_A_PHONE)
def test_browser_and_cpython_give_the_same(page: Page, name: str) -> None:
    asked = [as_sent({"operation": name, "payload": payload}) for payload in drawn(name)]
    there = json.loads(page.evaluate(ASK_ALL, json.dumps(asked)))
    here = [json.loads(bridge.ask("call", json.dumps(each))) for each in asked]
    for payload, one, other in zip(asked, here, there, strict=True):
        assert differences(one, other) == [], json.dumps(payload)
        assert one.get("error", {}).get("code") != "internal", json.dumps(payload)
    refused = sum("error" in one for one in here)
    assert "error" not in here[0]
    assert 0 < refused < INPUTS
    print(f"{name}: {INPUTS - refused} answers and {refused} refusals are the same")


def test_differences_are_found() -> None:
    """Shows that the comparison can fail."""
    assert differences({"a": [1.0]}, {"a": [1.0 + 1e-8]}) == [".a[0]: 1.0 and 1.00000001"]
    assert differences({"a": [1.0]}, {"a": [1.0 + 1e-10]}) == []
    assert differences([1], [1, 2]) == [": 1 and 2 items"]
    assert differences({"a": "x", "b": True}, {"a": "y", "b": 1}) == [
        ".a: 'x' and 'y'", ".b: True and 1",
    ]  # fmt: skip
    assert differences({"a": 1}, {"b": 1}) == [": keys ['a'] and ['b']"]
