"""A radiator with its cooler, beside the road and without a network: every phase of the job, with
detours, a browser that is killed, and a second leak that opens the search again."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import expect

from tests.browser.conftest import Phone, Server, violations
from tests.browser.stretches import (
    HOSES,
    JOINTS,
    MATCHES,
    TRANSFERS,
    log_the_warm_up,
    look_at_the_stands_again,
    look_everywhere,
    nothing_foreign,
    pass_the_gate_again,
)
from tests.browser.technician import PATIENCE, Technician
from weeptrace.job.advance import advance
from weeptrace.job.events import read_moment
from weeptrace.job.procedure import position
from weeptrace.job.state import EMPTY
from weeptrace.rules import load

RULES = load()
Deed = Callable[[Technician], None]

PARTS = [
    "Under-tray", "Air guides", "Latch (marked)", "Fan and shroud",
    "Sensor connector", "Upper hose", "Lower hose", "Transmission lines", "Condenser",
    "Four isolators", "Radiator",
]  # fmt: skip
BEFORE = ("110", "109", "107", "106", "105", "103")
AFTER = ("110", "110", "109", "109", "109", "108")
VACUUM = ("86", "86", "86", "86", "86", "86")


def key(name: str) -> Deed:
    return lambda tech: tech.press(name)


def skip(tech: Technician) -> None:
    tech.leave_out()


def choose(option: str) -> Deed:
    return lambda tech: tech.press(option, exact=False)


def figure(number: str) -> Deed:
    def typed(tech: Technician) -> None:
        tech.key_in(number)
        tech.store()

    return typed


def write(label: str, words: str) -> Deed:
    return lambda tech: tech.write(label, words)


def tick(*labels: str) -> Deed:
    return lambda tech: [tech.main(label) for label in labels] and None


def gate(tech: Technician) -> None:
    """Measured cold and without pressure, for the first time or again."""
    tech.page.get_by_role("button", name=re.compile("^Measure (now|again)$")).click()
    tech.key_in("20")
    tech.store()
    tech.press("None: upper hose soft", exact=False)


def gate_of_metal(tech: Technician) -> None:
    """Measured cool enough to be touched."""
    tech.page.get_by_role("button", name=re.compile("^Measure (now|again)$")).click()
    tech.key_in("20")
    tech.store()


def read_off(needles: tuple[str, ...]) -> Deed:
    """One reading a minute, then the end."""

    def read(tech: Technician) -> None:
        for number, needle in enumerate(needles, 1):
            tech.read(needle)
            tech.sees(re.compile(rf"^{number - 1} of 15"))
            tech.wait(58.0)
        tech.press("End")

    return read


def hold_again(tech: Technician) -> None:
    """Asked whether, and later read off, under one title."""
    if tech.page.get_by_role("button", name="READ", exact=True).count():
        read_off(AFTER)(tech)
    else:
        tech.press("Hold it again", exact=False)


def put_on(*parts: str) -> Deed:
    """Last off goes on first."""

    def put(tech: Technician) -> None:
        for part in reversed(parts):
            tech.main(f"{part} is on")
        tech.main("All back on")

    return put


def sign(tech: Technician) -> None:
    """A stroke of the finger over the paper."""
    box = tech.page.get_by_role("img", name="Sign here").bounding_box()
    assert box is not None
    tech.page.mouse.move(box["x"] + 30, box["y"] + 40)
    tech.page.mouse.down()
    tech.page.mouse.move(box["x"] + 200, box["y"] + 90)
    tech.page.mouse.up()
    tech.press("Signed")


SEEN = key("Continue")
VERDICTS = {" ".join(words): SEEN for id, words in RULES.texts.items() if id.startswith("verdict.")}
# What is done on the screen of each title, where nothing else is said.
USUAL: dict[str, Deed] = {
    "The car": write("Car", "Larkspur 2.4 automatic"),
    "Before you go near it": choose("No, cold and quiet"),
    "Where is the work done?": choose("On the road, at the car"),
    "The work site": choose("Firm, level, safe"),
    "Kit and work site": key("Kit checked"),
    "How do you start?": choose("Measure it"),
    "Drive type": choose("No high voltage"),
    "The complaint": write("Complaint", "low again after a week"),
    "What the owner says": key("All asked"),
    "Owner's loss figure": figure("0.4"),
    "Odometer": skip,
    "Limit for diagnosis": skip,
    "Cap rating": figure("110"),
    "System capacity": figure("7.6"),
    "Coolant in the car": choose("Ethylene glycol"),
    "Altitude here": figure("190"),
    "Air temperature here": figure("20"),
    "Secure the car": key("Car is secured"),
    "Will the battery be off?": choose("Comes off, codes noted"),
    "Keep engine and fan still": choose("Key away, engine cold"),
    "The engine can start": choose("Key away, earth lead off"),
    "Let it cool": gate_of_metal,
    "Disconnect the fan": key("Fan is disconnected"),
    "The fan is live": choose("Fan disconnected"),
    "The fan is disconnected": choose("Fan reconnected"),
    "On the ground or raised?": choose("Raised"),
    "Before going under": tick(
        "Set under the points", "Pushed, does not move", "Rocked, does not move"
    ),
    "Ground or stands": look_at_the_stands_again,
    "Look from below": key("Looked from below"),
    "First look, touch nothing": key("All looked at"),
    "Cool-down gate": gate,
    "Cold level": figure("12"),
    "Strength of the coolant": figure("47"),
    "Coolant appearance": choose("Clean"),
    "Engine oil": choose("Clean, no cream"),
    "Transmission fluid": choose("Clean"),
    "Tester: end of scale": figure("160"),
    "Tester: one division": figure("2"),
    "Tester: one stroke": figure("40"),
    "Which adapter?": write("Adapter", "Neck, wide"),
    "Tester on a blank": figure("0"),
    "What the tester loses": SEEN,
    "The cap": choose("Test it"),
    "Cap opens, first time": figure("108"),
    "Cap opens, second time": figure("110"),
    "Cap opens, third time": figure("109"),
    "Cap near its rating": choose("Holds"),
    "Return valve of the cap": choose("Opens"),
    "Coolant level": choose("Filled to the neck"),
    "Fit the tester": key("Tester is on"),
    "Pump up": figure("5"),
    "Pressure hold": read_off(BEFORE),
    "What the hold shows": SEEN,
    "Where did you look?": key("All looked at"),
    "Highest wet point": choose("Radiator seam"),
    "Picture of it wet": skip,
    "How will you prove it?": choose("Engine running"),
    "Close it before it runs": tick("Level at cold MAX", "Cap on, last stop"),
    "Run it and watch": key("Has run, engine off"),
    "Close it again": tick("Level at cold MAX", "Cap on, last stop"),
    "Close it for the road": tick("Level at cold MAX", "Cap on, last stop"),
    "Under-tray on": key("Tray on, nothing hanging"),
    "Dry it": key("It is dry"),
    "Wet again?": choose("Wet again"),
    "Picture of it wet again": skip,
    "Let the pressure off": key("Pressure is off"),
    "Not found yet: next test": choose("Run and watch"),
    "Where the engine runs": choose("Outdoors"),
    "Where the exhaust goes": choose("Outdoors"),
    "Run it and look": key("Has run"),
    "Caught while it ran": figure("12"),
    "Caught in how long?": figure("0.25"),
    "What this test showed": choose("It showed a leak point"),
    "Back to the leak point": key("Name the leak point"),
    "What will be repaired?": choose("Radiator with trans cooler"),
    "Drive or tow": choose("Stays here"),
    "Part against the car": tick(*MATCHES),
    "Why this work": write("Why this work", "seam wet, dried, wet again"),
    "Hours of work": figure("4.5"),
    "Parts and fluids": figure("310"),
    "What may be added?": key("All rated"),
    "Price quoted": figure("480"),
    "Ceiling agreed": figure("560"),
    "What is not included": skip,
    "Who agrees?": write("Agreed by", "R. Sand"),
    "How do they agree?": choose("Signed"),
    "Signature": sign,
    "Missing before the work": figure("0"),
    "Before draining": tick(
        "Matched part is here", "Pan is large enough", "Belt, alternator covered"
    ),
    "Drain and catch": figure("4.3"),
    "Strength of what stays in": figure("35"),
    "Hoses off": tick(*HOSES),
    "Transmission lines off": tick("Two wrenches used", "Separate pan, both sides capped"),
    "Transmission fluid caught": figure("430"),
    "Fasteners that came off": figure("14"),
    "Hidden damage": choose("Nothing"),
    "Old to new": tick(*TRANSFERS),
    "Move the cooler fittings": tick("Cooler fittings", "New seals in them"),
    "Each joint, a second look": tick(*JOINTS),
    "Connectors": tick("Locks shut: push, pull, look", "Connectors back, fan left off"),
    "Drain plugs of the new part": tick(
        "Drain plugs tight, seals in", "Moves 2 to 4 mm on its rubbers"
    ),
    "Front end": tick("Latch on its marks", "Lamps, radar, camera as before"),
    "Fasteners that went on": figure("14"),
    "How do you fill?": choose("By vacuum"),
    "Is it the right coolant?": choose("It meets the maker's spec"),
    "Strength wanted": figure("50"),
    "Coolant at hand": choose("Concentrate and water"),
    "Mix 4.30 L": lambda tech: tech.main("Mixed", exact=False),
    "Dry air first": choose("No dry-air hold"),
    "Before the vacuum": tick(
        "Overflow line blocked", "Container full", "Line primed, no air in it",
        "Container above the neck", "Heater full hot, rear too",
    ),
    "Vacuum hold": read_off(VACUUM),
    "What the vacuum shows": SEEN,
    "Coolant in the container": figure("8"),
    "What it will take": key("Container is ready"),
    "Fill": figure("4.3"),
    "Cap on": key("Cap is on and locked"),
    "Is it the right fluid?": choose("It meets the maker's spec"),
    "Transmission fluid in": figure("430"),
    "Reconnect the fan": key("Fan reconnected"),
    "Warm-up": log_the_warm_up,
    "What the warm-up shows": SEEN,
    "Transmission level": skip,
    "Hold after the repair": hold_again,
    "The old leak point": choose("Dry"),
    "Any other leak point?": choose("Nothing else wet"),
    "Road test": key("Driven"),
    "Hottest on the road": figure("94"),
    "Look while it is hot": choose("Dry"),
    "Cold level again": SEEN,
    "Retighten worm clamps": key("Retightened"),
    "Strength after mixing": figure("50"),
    "Final level": choose("At cold MAX"),
    "Final top-up": figure("0.2"),
    "Spilled": figure("0.1"),
    "Fluid balance": SEEN,
    "Wash off the spilled coolant": key("Washed, mopped up"),
    "Which can?": write("Can", "blue can 2"),
    "Receipt": skip,
    "Level watch": key("Booked with the owner"),
    "Before it goes back": key("All checked"),
}  # fmt: skip


def go_on(tech: Technician, until: str, **others: Deed) -> list[str]:
    """Do what each screen asks, up to the screen of this title; returns the titles passed."""
    named = {title.replace("_", " "): deed for title, deed in others.items()}
    asked = {
        title.removesuffix("?"): deed for title, deed in {**VERDICTS, **USUAL, **named}.items()
    }
    heading = tech.page.get_by_role("heading", level=1)  # more than one of them is refused
    passed: list[str] = []
    while (title := " ".join(heading.inner_text().split())) != until:
        assert len(passed) < 120, passed[-8:]
        plain = title.removesuffix("?")
        if plain in asked:  # else what was pressed before is still being kept
            passed.append(title)
            asked[plain](tech)
        expect(heading).not_to_have_text(title, timeout=PATIENCE)
        tech.no_sideways_scrolling()
    return passed


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
    tech.title("No leak point found")
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
    tech.title("Disconnect the fan")
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
