"""A whole job by what its pages offer alone: title, prompt, caution, keys and rows are its own."""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

import pytest

from tests.hands import NEEDLES, USUAL, Answer
from tests.logbook import Logbook
from tests.screen.hand.page import NBSP, agrees
from tests.screen.hand.reader import Reader
from tests.screen.hand.told import FIELDS, RULES, WORDS, Told, by_hand, word
from tests.screen.test_view import RULES as COMPILED
from weeptrace import screen
from weeptrace.job.advance import advance
from weeptrace.job.state import EMPTY

Json = dict[str, Any]
STEPS: Final[dict[str, Json]] = {
    step["id"]: {**step, "phase": phase["id"]}
    for path in sorted((RULES / "procedures" / "coolant_loss").glob("*.toml"))
    for phase in tomllib.loads(path.read_text("utf-8")).get("phase", ())
    for step in phase.get("step", ())
}
HAZARDS: Final[dict[str, Json]] = tomllib.loads((RULES / "hazards.toml").read_text("utf-8"))
ACTS: Final[dict[str, Json]] = tomllib.loads((RULES / "acts.toml").read_text("utf-8"))
# The blocks of each kind of page, top down; of a page of its own by what it shows.
ASKS: Final = {"text": "title prompt text", "choice": "title prompt choice",
               "quantity": "title prompt pad", "count": "title prompt pad"}  # fmt: skip
BLOCKS: Final = {
    "adapter": "title prompt text", "answers": "title prompt checklist",
    "balance": "title state table heading table state", "cap": "title prompt table (choice|pad)?",
    "checks": "title prompt checklist", "drive": "title state prompt checklist state state "
    "heading choice", "idle": "title prompt state", "ledger_off": "title prompt ledger",
    "ledger_on": "title ledger", "mix": "title picture heading scale",
    "price": "title prompt table pad", "recheck": "title prompt state state state",
    "record": "title (verdict (state )?)?(heading table )+(plot )*((heading|table|state) )+",
    "recorder": "title prompt recorder", "self_test": "title state table",
    "tested": "title prompt (state )+", "hand_back": "title prompt (state )*checklist",
    "transmission": "title prompt table pad", "uptake": "title state table",
    "verdict": "verdict (table )?heading state table (heading )?(table )?(table )?"
    "heading (state )+(table)?",
    "warm_log": "title prompt state recorder state state",
    "warm_result": "title (state )+", "watch": "title prompt state state",
}  # fmt: skip


def warned(step: Json) -> list[str]:
    """What the acts of a step warn of: what kills first, and among like ones the first listed."""
    hazards = {ACTS[act]["warns"] for act in step.get("acts", ())}
    kills = [id for id in HAZARDS if HAZARDS[id]["level"] == "warning"]
    return [id for id in dict.fromkeys([*kills, *HAZARDS]) if id in hazards]


def lowest(pad: Json) -> str:
    """The least figure that a pad says it takes."""
    (low,) = re.findall(r"^range (\S+) to ", "\n".join(pad["hints"]), re.MULTILINE)
    return str(low).replace("\N{MINUS SIGN}", "-")


class Presser:
    """Presses what the page shows, and nothing else."""

    def __init__(self, answers: dict[str, Answer]) -> None:
        self.log = Logbook()
        self.answers = {**USUAL, **answers}
        self.job, self.taken = EMPTY, 0
        self.seen: list[str] = []

    def page(self, look: str = "") -> Json:
        for event in self.log.events[self.taken :]:
            self.job = advance(COMPILED, self.job, event)
        self.taken = len(self.log.events)
        preferences = screen.preferences({}, COMPILED)
        return screen.view(COMPILED, self.job, self.log.moment(), preferences, look)

    def store(self, event: Json, typed: str | None = None, unit: str | None = None) -> None:
        self.log.now += 7.0
        said = event["typed"] if typed is None else typed
        more = event.get("supersedes")
        self.log.add(event["kind"], event["field"], said, unit, supersedes=more)

    def figure(self, pad: Json) -> None:
        """A figure on a pad: as it is answered here, else its lowest."""
        name = pad["event"]["field"]
        typed, unit = self.answers.get(name) or (lowest(pad), pad["unit"] or "1")
        assert unit in (*pad["units"], "1")
        assert pad["event"]["typed"] == ""
        self.store(pad["event"], typed, unit)

    def press(self, made: Json) -> None:
        kinds = {block["block"]: block for block in made["blocks"]}
        main, step = made["foot"]["main"], made["step"]
        if step == "gate.cold":
            self.cool(made)
        elif step.startswith("gate.") and (ticks := open_ticks(made)):
            self.store(ticks[0])
        elif "recorder" in kinds:
            self.read(made)
        elif "text" in kinds:
            event = kinds["text"]["event"]
            assert kinds["text"]["longest"] == FIELDS[event["field"]].get("longest", 400)
            self.store(event, str((self.answers.get(event["field"]) or ("Sand", None))[0]))
        elif "pad" in kinds:
            self.figure(kinds["pad"])
        elif "choice" in kinds:
            self.choose(kinds["choice"])
        else:
            assert main is not None, step
            do = main["do"]
            self.store(do.get("event") or do["photo"], "picture-1" if "photo" in do else None)

    def choose(self, block: Json) -> None:
        events = [row["do"]["event"] for row in block["rows"]]
        name = events[0]["field"]
        field = FIELDS[name]
        assert [event["typed"] for event in events] == field["options"]
        for row, event in zip(block["rows"], events, strict=True):
            own = f"{field.get('worded_as', name)}.{event['typed']}"
            assert row["label"] == word(f"choice.{own}")
            assert row["sub"] == WORDS.get(f"choice_sub.{name}.{event['typed']}", "")
            assert not row["chosen"]
            assert (event["kind"], event["field"], event["unit"]) == ("fact", name, None)
        wanted = (self.answers.get(name) or (field["options"][0], None))[0]
        self.store(next(event for event in events if event["typed"] == wanted))

    def cool(self, made: Json) -> None:
        choice = next((b for b in made["blocks"] if b["block"] == "choice"), None)
        if choice is not None:
            self.choose(choice)
            return
        earlier, stop = made["foot"]["keys"]
        pad = made["foot"]["main"]["do"]["pad"]
        assert earlier["do"] == {"earlier": pad}
        assert stop["do"]["reason"]["kind"] == "stopped"
        self.answers["coolant.temperature"] = ("12", "°C")
        self.figure(pad)

    def read(self, made: Json) -> None:
        kin = ""
        for needle in NEEDLES[self.reading(made)]:
            pad = self.page()["foot"]["main"]["do"]["read"]
            kin = pad["event"]["field"].partition(".")[0]
            self.log.now += 53.0
            self.store(pad["event"], *needle)
        keys = {key["label"]: key["do"]["event"] for key in self.page()["foot"]["keys"]
                if "event" in key["do"]}  # fmt: skip
        assert keys["End"] == {"kind": "mark", "field": f"{kin}.ended", "typed": "", "unit": None}
        self.store(keys["End"])

    def reading(self, made: Json) -> str:
        return str(made["foot"]["main"]["do"]["read"]["event"]["field"])

    def closed(self) -> list[str]:
        for _ in range(400):
            made = self.page()
            here = made["step"]
            if made["state"]["word"] == "Closed":
                return self.seen
            self.seen.append(here)
            checked(made, self)
            self.press(made)
            assert not self.page_troubles(), here
        raise AssertionError(f"in a circle: {self.seen[-9:]}")

    def page_troubles(self) -> list[str]:
        self.page()
        return [trouble.words for trouble in self.job.troubles.values()]


def open_ticks(made: Json) -> list[Json]:
    """What a shut gate wants ticked."""
    events = [b["do"]["event"] for b in made["blocks"] if b["block"] == "state" and b.get("do")]
    lowered = ("fact", "car.raised")
    return [e for e in events if e["kind"] == "done" or (e["kind"], e["field"]) == lowered]


def checked(made: Json, hand: Presser) -> None:
    """What stands around the answer is this step's own."""
    id, foot = made["step"], made["foot"]
    first = made["blocks"][0]
    assert made["bar"]["title"] == (Told(hand.log.events).choice("car.name") or "New job")
    if id.startswith("gate."):
        assert first["text"] == word(f"{id}.title")
        assert made["state"]["word"] == word(f"{id}.title")
        assert made["state"]["shape"] == "waits"
        return
    step = STEPS[id]
    assert made["edge"]["phases"][made["edge"]["now"]] == word(f"phase.{step['phase']}")
    assert made["state"] == {"shape": "now", "word": word(f"step.{id}.title"), "figure": ""}
    assert made["awake"] is (step.get("shows") in ("recorder", "warm_log"))
    if step.get("shows") not in ("verdict", "mix", "record"):
        assert first["text"] == word(f"step.{id}.title")
    if step.get("shows") not in ("self_test",):
        hazards = warned(step)
        assert (foot["caution"] is not None) == bool(hazards)
        if hazards:
            said = Reader("kpa").text(HAZARDS[hazards[0]]["caution"], Told(hand.log.events))
            assert agrees(said, foot["caution"]["text"].replace(NBSP, " "))
            assert foot["caution"]["level"] == HAZARDS[hazards[0]]["level"]
    prompts = [b["text"] for b in made["blocks"] if b["block"] == "prompt"]
    kinds = " ".join(block["block"] for block in made["blocks"])
    asked = FIELDS.get(step.get("asks", ""), {}).get("kind", "")
    blocks = BLOCKS[step["shows"]] if "shows" in step else ASKS.get(asked, "title prompt")
    assert re.fullmatch(f"({blocks}) *", f"{kinds} "), (id, kinds)
    if step.get("shows") is None:
        place, _, of = first["count"].partition(" of ")
        assert not first["count"] or 1 <= int(place) <= int(of) > 1
        (line,) = (prompt.replace(NBSP, " ") for prompt in prompts)
        assert agrees(Reader("kpa").text(f"step.{id}.prompt", Told(hand.log.events)), line)
        icon = {"photo": "camera", "yes": "tick", "mark": "tick"}.get(asked)
        assert (foot["main"] or {}).get("icon") == icon, id
    labels = [key["label"] for key in foot["keys"]]
    if step.get("shows") is None and "asks" in step:
        left_out = "Not measured" if asked in ("quantity", "reading") else "Skip"
        assert (left_out in labels) == step.get("skip", False)
        skips = [k["do"]["event"] for k in foot["keys"] if k["label"] == left_out]
        assert all((e["kind"], e["field"]) == ("not_done", step["asks"]) for e in skips)
        if "again" in step:
            (again,) = (k for k in foot["keys"] if k["label"] == word(f"field.{step['again']}"))
            assert again["do"]["event"]["field"] == step["again"]
            assert again["do"]["event"]["kind"] == "mark"


WAYS: Final[dict[str, tuple[dict[str, Answer], tuple[str, ...]]]] = {
    "dry air, vacuum and a hold after": (
        {"dry.wanted": ("dry_air", None), "fill.how": ("vacuum", None),
         "after.wanted": ("hold", None), "cap.how": ("tested", None),
         "repair.kind": ("radiator_with_cooler", None), "work.where": ("workshop", None)},
        ("cap_hold", "dry_verdict", "vacuum_verdict", "uptake_plan", "after_verdict", "warm_log",
         "transmission_filled", "fluid_balance", "recheck", "level_watch", "hand_over"),
    ),
    "on the road, seen": (
        {"work.where": ("mobile", None), "work.route": ("seen", None),
         "repair.kind": ("hose_or_clamp", None)},
        ("site_look", "kit", "drive", "teardown", "reassembly", "joints", "cap_line_seen"),
    ),
    "raised, not found at first": (
        {"car.raised": ("raised", None), "finding.place": ("not_found", None),
         "test.kind": ("warm_hold", None), "repair.kind": ("water_pump", None)},
        ("stands_set", "test_kind", "test_readings", "mix_plan", "bleed", "hand_over"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_a_job_closes_by_what_its_pages_offer(way: str) -> None:
    answers, met = WAYS[way]
    hand = Presser(answers)
    seen = hand.closed()
    assert set(met) <= set(seen)
    stored(hand)


def stored(hand: Presser) -> None:
    """All that is stored stands in the list, newest first, as typed, with its clock time."""
    made = hand.page("so_far")
    told = [e for e in hand.log.events if e["kind"] not in ("opened", "resumed")][::-1]
    rows = [b for b in made["blocks"] if b["block"] == "state"]
    assert made["blocks"][0]["count"] == str(len(told)) == str(len(rows))
    for row, event in zip(rows, told, strict=True):
        field = FIELDS[event["field"]]
        assert row["word"] == word(f"field.{event['field']}")
        assert row["lines"][0] == event["at"][11:16]
        typed = event["typed"]
        if field["kind"] == "choice":
            chosen = f"choice.{field.get('worded_as', event['field'])}.{typed}"
            typed = WORDS.get(f"record_{chosen}", word(chosen))
        elif field["kind"] in ("quantity", "count", "reading"):
            typed = by_hand(event).replace(" ", NBSP, 1)
        assert row["figure"] == typed
        number = field["kind"] in ("quantity", "count", "reading")
        do = row["do"]["pad"]["event"] if number else row["do"]["event"]
        assert (do["field"], do["supersedes"]) == (event["field"], event["id"])
        assert do["kind"] == (event["kind"] if number else "undo")
        assert (row["lines"][1:] == ["press to take it back"]) is not number
