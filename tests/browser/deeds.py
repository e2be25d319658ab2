"""What is done on the page of each title, where a test says nothing else."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Locator, expect

from tests.browser.stretches import (
    HOSES,
    JOINTS,
    MATCHES,
    TRANSFERS,
    log_the_warm_up,
    look_at_the_stands_again,
)
from tests.browser.technician import PATIENCE, Technician
from weeptrace.rules import load

RULES = load()
Deed = Callable[[Technician], None]

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
    measure_key(tech).click()
    tech.key_in("20")
    tech.store()
    tech.press("None: upper hose soft", exact=False)


def gate_of_metal(tech: Technician) -> None:
    """Measured cool enough to be touched.

    Between its pad and the next page the gate may be on the screen once more, as it was.
    """
    measure_key(tech).click()
    tech.key_in("20")
    heading = tech.page.get_by_role("heading", level=1)
    pad = " ".join(heading.inner_text().split())
    tech.store()
    expect(heading).not_to_have_text(pad, timeout=PATIENCE)
    expect(measure_key(tech)).to_have_count(0, timeout=PATIENCE)


def measure_key(tech: Technician) -> Locator:
    """The key of a gate that asks for a temperature."""
    return tech.page.get_by_role("button", name=re.compile("^Measure (now|again)$"))


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
    "Turn it by hand first": choose("Turns freely"),
    "Oil from the bottom": choose("Oil only"),
    "Idle it before it drives": choose("No coolant drips"),
    "Run it and look": key("Has run, engine off"),
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
    "Vacuum fill": figure("4.3"),
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
    "Not ready to go back": choose("On the ground"),
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
