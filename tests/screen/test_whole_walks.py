"""Pages held whole that a walk through the job leads to: the ledger, and a vacuum's verdict."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import pytest

from tests.hands import Hands
from tests.logbook import Logbook
from tests.screen.hand.common import of
from tests.screen.hand.plain import (
    NBSP,
    event,
    foot,
    heading,
    key,
    prompt,
    row,
    stores,
    table,
    title,
)
from tests.screen.hand.told import FIELDS, word
from tests.screen.test_rows import taken_apart
from tests.screen.test_view import view
from weeptrace.hold.data import Assessment, LiquidEquivalent
from weeptrace.job import holds

Json = dict[str, Any]
ML: Final = 1e-6 / 60.0  # 1 mL/min in m3/s


def test_what_comes_off_whole() -> None:
    log = taken_apart()
    log.now += 60.0
    off = log.add("fact", "part.upper_hose", "off")
    log.add("note", "part.upper_hose", "on the bench")
    log.add("not_done", "part.condenser", "Stays on")
    log.add("note", "part.own_1", "Skid plate")
    log.add("fact", "part.own_1", "off")
    listed = [
        name for name, field in FIELDS.items()
        if "radiator" in field.get("for", ()) and not name.startswith("part.own_")
    ]  # fmt: skip
    at = off["at"][11:16]

    def part(name: str, **has: Any) -> Json:
        usual: Json = {
            "off": "to_do", "on": "waits", "now": name == listed[0],
            "word": word(f"field.{name}"), "lines": [word(f"comes.{FIELDS[name]['comes']}")],
            "do": stores("fact", name, "off"), "more": [],
        }  # fmt: skip
        return {**usual, **has}

    def beside(name: str, where: bool = True) -> list[Json]:
        lies = key(word("screen.where"), {"reason": event("note", name)})
        picture = key(word("screen.photo"), {"photo": event("photo", name)}, "camera")
        return [*([lies] if where else []), picture]

    changed = {
        "part.upper_hose": {
            "off": "off", "on": "to_do", "do": None, "more": beside("part.upper_hose"),
            "lines": [word("comes.off"), "on the bench", at, word("screen.needed_to_run")],
        },
        "part.condenser": {"lines": ["left on"], "do": None},
    }  # fmt: skip
    assert FIELDS["part.upper_hose"]["needed_to_run"]
    own = {
        "off": "off", "on": "to_do", "now": False, "word": "Skid plate", "do": None,
        "lines": [word("comes.off"), at, word("screen.needed_to_run")],
        "more": beside("part.own_1", where=False),
    }  # fmt: skip
    made = view(log)
    rows = [part(name, **changed.get(name, {})) for name in listed]
    assert made["blocks"][:2] == [
        title(word("step.teardown.title"), "2 off"), prompt(word("step.teardown.prompt"))
    ]  # fmt: skip
    assert made["blocks"][2:] == [{"block": "ledger", "rows": [*rows, own]}]
    comes = f"{part(listed[0])['lines'][0]}: {word(f'field.{listed[0]}')}"
    stays = word("screen.stays_on")
    assert made["foot"] == foot(
        key(comes, stores("fact", listed[0], "off")),
        key(stays, stores("not_done", listed[0], stays)),
        key(word("screen.own_part"), {"reason": event("note", "part.own_2")}, "plus"),
        key(word("step.teardown.main"), stores("done", "ledger.off_complete")),
        caution=made["foot"]["caution"],
    )
    for name in listed:
        if name not in changed:
            log.add("fact", name, "off")
    for n in (2, 3, 4, 5):
        if f"part.own_{n}" in FIELDS:
            log.add("note", f"part.own_{n}", f"Bracket {n}")
            log.add("not_done", f"part.own_{n}", "Stays on")
    made = view(log)
    assert made["foot"] == foot(
        key(word("step.teardown.main"), stores("done", "ledger.off_complete"), "tick"),
        caution=made["foot"]["caution"],
    )


def test_what_goes_on_whole() -> None:
    log = taken_apart()
    for name in ("part.under_tray", "part.upper_hose", "part.radiator"):
        log.now += 60.0
        log.add("fact", name, "off")
    log.add("done", "ledger.off_complete")
    Hands(log).until("reassembly")
    clocks = {e["field"]: e["at"][11:16] for e in log.events if e["field"].startswith("part.")}
    on = log.add("fact", "part.radiator", "on")

    def part(name: str, *after: str, **has: Any) -> Json:
        lines = [word(f"comes.{FIELDS[name]['comes']}"), clocks[name], *after]
        usual: Json = {
            "off": "off", "on": "to_do", "now": False, "word": word(f"field.{name}"),
            "lines": lines, "do": stores("fact", name, "on"), "more": [],
        }  # fmt: skip
        return {**usual, **has}

    clocks["part.radiator"] = on["at"][11:16]
    made = view(log)
    needed = word("screen.needed_to_run")
    rows = [
        part("part.upper_hose", needed, now=True),
        part("part.under_tray"),
        part("part.radiator", off="to_do", on="on", do=None),
    ]
    assert made["blocks"] == [
        title(word("step.reassembly.title"), "1 of 3 on"), {"block": "ledger", "rows": rows}
    ]  # fmt: skip
    main = key(f"{word('field.part.upper_hose')} is on", stores("fact", "part.upper_hose", "on"))
    assert made["foot"] == foot(main, caution=made["foot"]["caution"])
    for name in ("part.upper_hose", "part.under_tray"):
        log.add("fact", name, "on")
    made = view(log)
    assert made["foot"]["main"] == key(
        word("step.reassembly.main"), stores("done", "ledger.on_complete"), "tick"
    )
    assert [each["now"] for each in made["blocks"][1]["rows"]] == [False] * 3


def test_a_vacuum_says_how_far_it_reached_and_what_comes_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    flow, liquid = of(43.0, 21.4, 86.0, ML), of(2.5, 1.0, 4.0, ML)
    found = Assessment(
        "leak_size_unknown", residual_fraction=0.134, best_vacuum=of(92.0, 95.0, 88.0, 1e3),
        air_flow=flow, liquid_equivalent=LiquidEquivalent(liquid, liquid),
    )  # fmt: skip
    log = Logbook()
    Hands(log, {"fill.how": ("vacuum", None)}).until("vacuum_verdict")
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: found)
    rows = [
        [word("screen.residual"), f"13{NBSP}%"],
        [word("screen.best_vacuum"), f"\N{MINUS SIGN}92{NBSP}kPa"],
        [word("screen.air_flow"), f"43{NBSP}mL/min (21 to 86)"],
        [word("screen.as_liquid"), f"2.5{NBSP}mL/min (1.0 to 4.0)"],
    ]
    blind = [
        heading(word("screen.cannot_see")),
        *(row("not_measured", word(f"cannot_see.{id}")) for id in ("pushed_open", "small",
                                                                   "turning")),
    ]  # fmt: skip
    made = view(log)
    assert made["blocks"][1:] == [table(*rows), *blind]
    none = of(2.5, 0.0, 4.0, ML)
    bare = replace(found, liquid_equivalent=LiquidEquivalent(none, liquid), best_vacuum=None)
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: bare)
    assert view(log)["blocks"][1:] == [table(rows[0], rows[2]), *blind]
