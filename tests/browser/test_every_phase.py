"""A radiator with its cooler, beside the road and without a network: every phase of the job, with
detours, a browser that is killed, and a second leak that opens the search again."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tests.browser.conftest import Phone, Server, violations
from tests.browser.deeds import (
    AFTER,
    RULES,
    choose,
    figure,
    go_on,
    put_on,
    tick,
    write,
)
from tests.browser.stretches import look_everywhere, nothing_foreign, pass_the_gate_again
from tests.browser.technician import Technician
from weeptrace.job.advance import advance
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import EMPTY

PARTS = [
    "Under-tray", "Air guides", "Latch (marked)", "Fan and shroud",
    "Sensor connector", "Upper hose", "Lower hose", "Transmission lines", "Condenser",
    "Four isolators", "Radiator",
]  # fmt: skip


def stored_list(tech: Technician) -> None:
    """What is stored so far, by the menu: a gate's foot has a key of that name too."""
    tech.press("Menu")
    tech.page.get_by_role("dialog").get_by_role("button", name="Stored so far").click()
    tech.title("Stored so far")


def stored(tech: Technician, name: str) -> None:
    """Open what is stored so far, and press the newest entry of this name."""
    stored_list(tech)
    tech.page.get_by_role("button", name=re.compile(name)).first.click()


def test_every_phase_of_a_radiator_with_detours_and_a_killed_browser(
    phone: Phone, server: Server, tmp_path: Path
) -> None:
    tech = Technician(phone, server.url)
    server.stop()
    tech.choose_units()
    tech.press("New job")
    tech.title("The car")

    # A figure is mistyped and corrected; the holding car still loses, and a run shows the place.
    go_on(tech, "Secure the car", System_capacity=figure("6.7"))
    stored(tech, "System capacity")
    tech.press("Erase")
    tech.key_in("7.6")
    tech.store()
    tech.press("Back to the job")
    go_on(tech, "Not found yet: next test", Highest_wet_point=choose("Nothing wet found"))
    go_on(tech, "Wet again?")
    tech.press("Stays dry")  # a slip of the finger, taken back
    tech.title("After this test")
    stored(tech, "After drying")
    tech.press("Back to the job")
    tech.title("Wet again?")
    go_on(tech, "What comes off")

    # Parts come off; the browser is killed between two of them.
    for part in PARTS[:7]:
        tech.main(part, exact=False)
    tech.sees("7 off")
    tech.killed(away=3600.0)
    pass_the_gate_again(tech, 20)
    tech.title("What comes off")
    tech.sees("7 off")
    for part in PARTS[7:9]:
        tech.main(part, exact=False)

    # A screw breaks beside plastic: a small repair of its own. Then more work, over the ceiling.
    tech.press("Menu")
    tech.press("Something broke")
    tech.title("What broke or is missing?")
    go_on(
        tech,
        "What comes off",
        What_broke_or_is_missing=write("Broken or missing", "bolt head off"),
        What_is_around_it=choose("Plastic near"),
        How_it_comes_out_of_plastic=choose("New insert"),
        Thread_and_length=write("Thread and length", "M6 x 20"),
        Hardware_for_it=write("Hardware", "insert M6"),
        Extra_time=figure("0.3"),
        Extra_price=figure("0"),
        Agreed_how=choose("Named in the quote"),
        The_broken_piece_now=choose("Mended, holds"),
    )
    tech.press("Menu")
    tech.press("More work found")
    tech.title("More work: what")
    more = {
        "More_work:_what": write("More work", "upper hose is split"),
        "More_work:_its_price": figure("95"),
        "More_work:_who_agrees": write("More work, agreed by", "R. Sand"),
        "More_work:_agreed_how": choose("Spoken, here or by phone"),
    }
    go_on(tech, "Over the ceiling: who", **more)
    tech.write("Over the ceiling, agreed by", "R. Sand")
    tech.choose("Over the ceiling: agreed how", "Does not agree")
    tech.title("Not agreed")  # no part comes off now
    stored(tech, "Over the ceiling, how")
    tech.press("Back to the job")
    tech.choose("Over the ceiling: agreed how", "In writing, by message")
    tech.type("New ceiling", "580")
    tech.title("What comes off")
    for part in PARTS[9:]:
        tech.main(part, exact=False)
    tech.press("Nothing more")
    go_on(tech, "Goes back on")
    put_on(*PARTS)(tech)

    # The wet hold shows a second leak: back to the place, and nothing is lost.
    go_on(tech, "It still leaks", Any_other_leak_point=choose("Something else is wet"))
    tech.main("Look for it again")
    tech.title("Keep engine and fan still")
    clamp = {
        "Highest_wet_point": choose("Lower hose"),
        "What_will_be_repaired": choose("Hose or clamp"),
        "Opened_or_re-seated": choose("Clamp re-seated"),
        "Part_against_the_car": tick("Hose: bore, length, bends", "Clamp: kind and size"),
        "Price_quoted": figure("30"),
        "How_do_they_agree": choose("Spoken, here or by phone"),
    }
    go_on(tech, "What comes off", **clamp)
    tech.main("Clamp", exact=False)
    tech.press("Nothing more")
    tech.title("Goes back on")
    put_on("Clamp")(tech)
    go_on(tech, "Hand-over record")

    look_everywhere(tech)
    record = tech.downloads("Save record", tmp_path / "record.html")
    for words in ("Radiator with trans cooler", "upper hose is split", "bolt head off", "430\xa0g",
                  "M6 x 20", "95\xa0", "4.3\xa0L", "blue can 2"):  # fmt: skip
        assert words in record, words
    job = json.loads(tech.downloads("Export job", tmp_path / "job.json"))
    # "let_off" is met only where a yes was taken back with the tester on.
    assert phases_of(job["events"]) == [
        phase.id for phase in RULES.procedures["coolant_loss"].phases if phase.id != "let_off"
    ]
    read = [event["typed"] for event in job["events"] if event["field"] == "after.pressure"]
    assert read == [*AFTER, *AFTER]

    # The signature is erased; what it was for stays.
    stored_list(tech)
    tech.press("Erase: Signature")
    tech.press("Erase for good: Signature")
    tech.sees("Picture erased")
    tech.press("Back to the job")
    tech.press("Close the job")
    nothing_foreign(tech, record)
    assert phone.errors == []
    assert phone.foreign == []
    assert violations(tech.page) == []


def phases_of(events: list[dict[str, object]]) -> list[str]:
    """The phases in which the job stood after any of its events, in their order."""
    phases = RULES.procedures["coolant_loss"].phases
    job, stood = EMPTY, set()
    for event in events:
        job = advance(RULES, job, event)
        moment = read_moment({name: event[name] for name in ("at", "mono", "boot")})
        stood.add(position(RULES, job, moment).phase)
    return [phase.id for number, phase in enumerate(phases) if number in stood]
