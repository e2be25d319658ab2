"""Stretches of a job on the phone, as a technician walks them; several tests walk them."""

from __future__ import annotations

import os
import random
import re

from tests.browser.technician import Technician
from tests.screen.foreign import SETS, foreign, on_paper

JOINTS = ["Hose fully home", "Clamp in its old mark", "Tabs clear, reachable", "Tugged, holds"]
HOSES = ["Hose and clamp position marked", "Twisted free, necks undamaged", "Openings capped"]
TRANSFERS = [
    "Isolators, two low, two high", "Pins, shroud clips, brackets", "Sensor",
    "Drain plug with its seal", "Bleed screw with its seal", "Foam and air seals",
]  # fmt: skip
MATCHES = [
    "Core: height, width, depth", "Ports: side, angle, bead", "Cap neck: there or not, rating",
    "Drain plug: side", "Drain plug: seal ring fitted", "Transmission cooler, threads",
    "Pins and four isolators", "Shroud hooks", "Condenser brackets", "Sensor port",
    "Air guide slots", "Bleed screw", "Clearance to its support", "Caps off, ports clean inside",
]  # fmt: skip


def a_seed() -> int:
    given = os.environ.get("WEEPTRACE_SEED")
    return int(given) if given else random.SystemRandom().randrange(10**6)


def begin(tech: Technician, name: str, route: str) -> None:
    """From the empty phone to a job with a name and a route."""
    tech.choose_units()
    tech.press("New job")
    tech.title("The car")
    tech.write("Car", name)
    tech.choose("Before you go near it", "No, cold and quiet")
    tech.choose("Where is the work done?", "In the workshop")
    tech.choose("How do you start?", route)
    tech.choose("Drive type", "No high voltage")


def hear_the_owner(tech: Technician) -> None:
    """The complaint and what the owner tells, as little as may be said."""
    tech.skip("The complaint")
    tech.title("What the owner says")
    tech.press("All asked")
    for title in ("Owner's loss figure", "Odometer", "Limit for diagnosis"):
        tech.skip(title)


def make_safe(tech: Technician) -> None:
    """The car is secured, the fan is disconnected."""
    tech.title("Secure the car")
    tech.press("Car is secured")
    tech.skip("Will the battery be off?")
    still(tech)


def still(tech: Technician) -> None:
    """The key is away and the engine cold, then the fan's plug is off."""
    tech.choose("Keep engine and fan still", "Key away, engine cold")
    tech.title("Disconnect the fan")
    tech.press("Fan is disconnected")


def first_look(tech: Technician) -> None:
    """On the ground, from the top down."""
    tech.choose("On the ground or raised?", "On the ground")
    tech.title("First look, touch nothing")
    tech.press("All looked at")


def look_at_the_coolant(tech: Technician) -> None:
    """Level and strength not measured; it is clean."""
    tech.skip("Cold level")
    tech.skip("Strength of the coolant")
    tech.choose("Coolant appearance", "Clean")
    tech.choose("Engine oil", "Clean, no cream")
    tech.choose("Transmission fluid", "Not on this car, or no access")


def look_around(tech: Technician) -> None:
    """Each zone: one press for dry, two for wet, three for not reachable."""
    tech.title("Where did you look?")
    for zone, presses in (("Cap and neck", 1), ("Radiator seams, drain plug", 2), ("Valley", 3)):
        for word in ("", "Dry", "Wet")[:presses]:
            tech.page.get_by_role("button", name=re.compile(f"{zone}.*{word}$")).click()
    tech.sees("3 of 12")
    tech.press("All looked at")


def prove(tech: Technician, celsius: float) -> None:
    """Wet, measured cool again after the phone was away, dried, wet again."""
    tech.choose("Highest wet point", "Radiator seam")
    tech.skip("Picture of it wet")
    tech.choose("How will you prove it?", "Under pressure")
    tech.title("Let it cool")
    tech.press("Measure again")
    tech.key_in(tech.own(celsius, "°C"))
    tech.store()
    tech.title("Dry it")
    tech.press("It is dry")
    tech.choose("Wet again?", "Wet again")
    tech.skip("Picture of it wet again")


def agree(tech: Technician, repair: str, matches: list[str], price: str, ceiling: str) -> None:
    """The part against the car, quote and consent; a small repair has no ceiling."""
    tech.choose("What will be repaired?", repair)
    if repair == "Hose or clamp":
        tech.choose("Opened or re-seated?", "Clamp re-seated")
    tick_all(tech, "Part against the car", matches)
    if ceiling:
        tech.skip("Why this work")
        tech.type("Hours of work", "2.5")
        tech.type("Parts and fluids", "310")
        tech.title("What may be added?")
        tech.press("All rated")
    tech.type("Price quoted", price)
    if ceiling:
        tech.type("Ceiling agreed", ceiling)
        tech.skip("What is not included")
    tech.title("Who agrees?")
    tech.write("Agreed by", "R. Sand")
    tech.choose("How do they agree?", "Spoken")


def tick_all(tech: Technician, title: str, labels: list[str]) -> None:
    """Tick every row of a checklist by its main key."""
    tech.title(title)
    for label in labels:
        tech.main(label)


def take_apart(tech: Technician, off: list[str]) -> None:
    """Each part comes off by the main key; then nothing more does."""
    tech.title("What comes off")
    for part in off:
        tech.main(part, exact=False)
    tech.press("Nothing more")


def put_together(tech: Technician, on: list[str]) -> None:
    """Last off, first on; then each joint a second look."""
    tech.title("Goes back on")
    for part in on:
        tech.main(f"{part} is on")
    tech.main("All back on")
    tick_all(tech, "Each joint, a second look", JOINTS)


def pass_the_gate(tech: Technician, celsius: float) -> None:
    """Measure, see that it is cold and without pressure."""
    tech.title("Cool-down gate")
    tech.press("Measure now")
    tech.key_in(tech.own(celsius, "°C"))
    tech.store()
    tech.press("None: upper hose soft", exact=False)


def finish_the_front(tech: Technician, fasteners: str) -> None:
    """Connectors, plugs, latch; as many fasteners on as came off."""
    tick_all(tech, "Connectors", ["Locks shut: push, pull, look", "Connectors back, fan left off"])
    plugs = ["Drain plugs tight, seals in", "Moves 2 to 4 mm on its rubbers"]
    tick_all(tech, "Drain plugs of the new part", plugs)
    tick_all(tech, "Front end", ["Latch on its marks", "Lamps, radar, camera as before"])
    tech.type("Fasteners that went on", fasteners)


def drive_and_look_again(tech: Technician, *, raised: bool = False) -> None:
    """No road test today; the cold level seen, clamps and strength not done."""
    tech.title("Under-tray on")
    tech.press("Tray on, nothing hanging")
    if raised:
        press_the_row(tech, "Not ready to go back", "On the ground")
    press_the_row(tech, "The fan is disconnected", "Fan reconnected")
    tech.skip("Road test")
    still_again(tech)
    pass_the_gate_again(tech, 20)
    tech.title("Cold level again")
    tech.press("Continue")
    tech.skip("Retighten worm clamps")
    tech.skip("Strength after mixing")
    last_level(tech)


def last_level(tech: Technician) -> None:
    """At the mark, cold; how much it took is not measured."""
    tech.choose("Final level", "At cold MAX")
    tech.skip("Final top-up")


def hand_back(tech: Technician) -> None:
    """Clean-up, the level watch, the last look; then the record."""
    tech.title("Wash off the spilled coolant")
    tech.press("Washed, mopped up")
    tech.title("Which can?")
    tech.write("Can", "blue can 2")
    tech.skip("Receipt")
    tech.title("Level watch")
    tech.press("Booked with the owner")
    tech.title("Before it goes back")
    tech.press("All checked")
    press_the_row(tech, "The fan is disconnected", "Fan reconnected")
    tech.title("Hand-over record")


def look_everywhere(tech: Technician) -> None:
    """What the menu opens at any time, from whatever page one is on."""
    for look in ("Stored so far", "Find it", "Record so far"):
        tech.press("Menu")
        tech.look()
        tech.page.get_by_role("dialog").get_by_role("button", name=look).click()
        tech.title("Hand-over record" if look == "Record so far" else look)
        tech.look()
        tech.press("Back")


def nothing_foreign(tech: Technician, record: str) -> None:
    """No page of the job, no caution and no line of its record has a figure of another set."""
    texts = on_paper(record)
    found = tech.strange(tech.units) + [text for text in texts if foreign(text, tech.units)]
    assert found == [], found
    # A reader with other gauges would have stumbled at many.
    other = SETS["kpa" if tech.set == "psi" else "psi"]
    assert len(tech.strange(other)) > 60
    assert len([text for text in texts if foreign(text, other)]) > 20


def log_the_warm_up(tech: Technician) -> None:
    """Four readings, the fan on and off."""
    for number, celsius in enumerate(("25", "55", "80", "92"), 1):
        tech.read(tech.own(celsius, "°C"))
        tech.sees(f"{number} read")
        tech.wait(58.0)
    tech.press("Fan on")
    tech.wait(40.0)
    tech.press("Fan off")
    tech.press("End")


def warm_up(tech: Technician, *, open_neck: bool = True) -> None:
    """The idle at an open neck and its cap on; then a short warm-up, up to what it shows."""
    tech.title("Where the engine runs")
    tech.press("Outdoors")
    tech.title("Reconnect the fan")
    tech.press("Fan reconnected")
    if open_neck:
        tech.title("Bubbles at the open neck")
        tech.sees(f"Stop the engine at {tech.own(90, '°C')}")
        tech.press("None for five minutes")
        still_again(tech)
        pass_the_gate_again(tech, 20)
        tech.title("Cap on")
        tech.press("Cap is on and locked")
        press_the_row(tech, "The fan is disconnected", "Fan reconnected")
    tech.title("Warm-up")
    log_the_warm_up(tech)
    tech.title("What the warm-up shows")
    tech.press("Continue")


def look_at_the_stands_again(tech: Technician) -> None:
    """The car was on stands while it ran or moved: each is looked at again."""
    tech.title("Ground or stands")
    tech.press("Raised", exact=False)
    for row in ("Set under the points", "Pushed, does not move", "Rocked, does not move"):
        tech.sees(re.compile(row))
        tech.press(row, exact=False)
        # Rows move up when one is answered: the next press waits until they have.
        tech.page.get_by_role("button", name=re.compile(row)).wait_for(state="detached")


def still_again(tech: Technician) -> None:
    """An engine ran: the key goes away again, the earth lead comes off, the fan's plug too."""
    tech.choose("The engine can start", "Key away, earth lead off")
    press_the_row(tech, "The fan is live", "Fan disconnected")


def press_the_row(tech: Technician, gate: str, row: str) -> None:
    """A gate that one press opens: what was done before is done again."""
    tech.title(gate)
    tech.press(row, exact=False)


def squeeze_the_hose(tech: Technician) -> None:
    """Measured just now and cold still: whether it is without pressure is asked anew."""
    tech.title("Cool-down gate")
    tech.press("None: upper hose soft", exact=False)


def pass_the_gate_again(tech: Technician, celsius: float) -> None:
    """The system was pumped up since: the evidence is asked anew."""
    tech.title("Cool-down gate")
    tech.sees("Measured too long ago, or the car changed since")
    tech.press("Measure again")
    tech.key_in(tech.own(celsius, "°C"))
    tech.store()
    tech.press("None: upper hose soft", exact=False)
