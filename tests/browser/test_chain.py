"""The whole chain on a phone without a network, on a car that is drawn anew each run."""

from __future__ import annotations

import json
import os
import random
import re
from pathlib import Path

import pytest

from tests.browser.conftest import NARROW, PHONE, Phone, Server, violations
from tests.browser.technician import Technician
from tests.simulated_car import Car, draw

DIVISION = 2000.0
STROKE = 40e-6
# L/1000 km per mL/min: 20 h of driving and 5 h of hot soak per 1000 km (common practice).
EXPOSURE = 1.5
# A 95 % interval misses one car in twenty; stretched by 1.7 it misses one in a thousand.
STRETCH = 1.7
JOINTS = ["Hose fully home", "Clamp in its old print", "Tabs clear, reachable", "Tugged, holds"]
HOSES = ["Clock place, clamp print marked", "Twisted free, necks whole", "Openings capped"]
TRANSFERS = [
    "Isolators, two low, two high", "Pins, shroud clips, brackets", "Sensor",
    "Drain plug with its seal", "Bleed screw with its seal", "Foam and air seals",
]  # fmt: skip
MATCHES = [
    "Core: height, width, depth", "Ports: side, angle, bead", "Neck here or not, rating",
    "Drain plug: side", "Drain plug: seal ring there", "Transmission cooler, threads",
    "Pins and four isolators", "Shroud hooks", "Condenser brackets", "Sensor port",
    "Air guide slots", "Bleed screw", "Clearance to the carrier", "Caps off, ports clean inside",
]  # fmt: skip


def a_seed() -> int:
    given = os.environ.get("WEEPTRACE_SEED")
    return int(given) if given else random.SystemRandom().randrange(10**6)


def begin(tech: Technician, name: str, route: str) -> None:
    """From the empty phone to a job with a name and a route."""
    tech.press("kPa, °C, litres")
    tech.press("New job")
    tech.title("The car")
    tech.write("Car", name)
    tech.choose("Where is the work done", "In the workshop")
    tech.choose("How do you start", route)


def hear_the_owner(tech: Technician) -> None:
    """The complaint and what the owner tells, as little as may be said."""
    tech.skip("The complaint")
    tech.title("What the owner tells")
    tech.press("All asked")
    for title in ("Loss told by the owner", "Odometer", "Ceiling for finding it"):
        tech.skip(title)


def describe(tech: Technician, car: Car, capacity: float) -> None:
    """The intake, up to the fan."""
    begin(tech, "Corvane Heron van", "Measure it")
    hear_the_owner(tech)
    tech.type("Cap rating", f"{car.start / 1000 + 20:.0f}")
    tech.type("System capacity", f"{1000 * capacity:.2f}")
    tech.choose("Coolant in the car", "Ethylene glycol")
    tech.type("Height of this place", f"{car.altitude:.0f}")
    tech.type("Air temperature here", f"{car.temperature - 273.15:.0f}")


def make_safe(tech: Technician) -> None:
    """It stands still, the fan is off."""
    tech.title("Make it stand still")
    tech.press("It stands still")
    tech.skip("If the battery comes off")
    tech.title("Fan off")
    tech.press("Fan is off")


def first_look(tech: Technician) -> None:
    """On the ground, from the top down."""
    tech.choose("On the ground or raised", "Stays on the ground")
    tech.title("First look, touch nothing")
    tech.press("All looked at")


def look_at_the_coolant(tech: Technician) -> None:
    """Level and strength not measured; it is clean."""
    tech.skip("Cold level")
    tech.skip("Strength of the coolant")
    tech.choose("Look of the coolant", "Clean")


def take_the_tester(tech: Technician) -> None:
    """Gauge, pump and what they lose by themselves; then a new cap."""
    tech.type("Tester: end of scale", "200")
    tech.type("Tester: one division", f"{DIVISION / 1000:.0f}")
    tech.type("Tester: one stroke", f"{1e6 * STROKE:.0f}")
    tech.title("Which adapter")
    tech.write("Adapter", "Neck, wide")
    tech.type("Tester on a blank", "0")
    tech.title("What the tester loses")
    tech.press("Seen, go on")
    tech.choose("The cap", "New cap, same rating")


def look_around(tech: Technician) -> None:
    """Each zone: one press for dry, two for wet, three for not reachable."""
    tech.title("Where did you look")
    for zone, presses in (("Cap and neck", 1), ("Radiator seams, plug", 2), ("Valley", 3)):
        for word in ("", "Dry", "Wet")[:presses]:
            tech.page.get_by_role("button", name=re.compile(f"{zone}.*{word}$")).click()
    tech.sees("3 of 12")
    tech.press("All looked at")


def prove(tech: Technician) -> None:
    """Wet, dried, wet again; then the pressure is let off."""
    tech.choose("Highest wet point", "Radiator seam")
    tech.skip("Picture of it wet")
    tech.title("Dry it")
    tech.press("It is dry")
    tech.choose("Wet again?", "Wet again")
    tech.skip("Picture of it wet again")


def agree(tech: Technician, repair: str, matches: list[str], price: str, ceiling: str) -> None:
    """The part against the car, quote and consent; a small repair has no ceiling."""
    tech.choose("What is repaired", repair)
    tick_all(tech, "Part against the car", matches)
    if ceiling:
        tech.skip("Why this work")
        tech.type("Hours of work", "2.5")
        tech.type("Parts and fluids", "310")
        tech.title("What may be added")
        tech.press("All weighed")
    tech.type("Price quoted", price)
    if ceiling:
        tech.type("Ceiling agreed", ceiling)
        tech.skip("What is not included")
    tech.title("Who agrees")
    tech.write("Agreed by", "R. Sand")
    tech.choose("How do they agree", "Spoken")


def tick_all(tech: Technician, title: str, labels: list[str]) -> None:
    """Tick every row of a checklist by its main key."""
    tech.title(title)
    for label in labels:
        tech.main(label)


def take_apart(tech: Technician, off: list[str]) -> None:
    """Each part comes off by the main key; then nothing more does."""
    tech.title("Comes off")
    for part in off:
        tech.main(part, exact=False)
    tech.press("No more")


def put_together(tech: Technician, on: list[str]) -> None:
    """Last off, first on; then each joint a second look."""
    tech.title("Goes back on")
    for part in on:
        tech.main(f"{part} is on")
    tech.main("All is on")
    tick_all(tech, "Each joint, a second look", JOINTS)


def pass_the_gate(tech: Technician, celsius: float) -> None:
    """Measure, see that it is cold and without pressure."""
    tech.title("Cool-down gate")
    tech.press("Measure now")
    tech.key_in(f"{celsius:.0f}")
    tech.store()
    tech.press("None: upper hose soft", exact=False)


def pump_up(tech: Technician, car: Car) -> None:
    """From the open gate to the pumped-up system."""
    tech.choose("Coolant level", "Filled to the neck" if car.gas_volume < 4e-4 else "As found")
    tech.title("Fit the tester")
    tech.press("Tester is on")
    tech.type("Pump up", f"{max(1.0, car.strokes(car.start, STROKE)):.0f}")
    tech.title("Pressure hold")


def hold(tech: Technician, needles: list[float], minutes: range, missed: int = 0) -> None:
    """Read the needle once a minute; ``missed`` readings were not taken before."""
    if minutes[0] == 0:
        tech.first_needle = tech.time
    for minute in minutes:
        tech.wait(tech.first_needle + 60.0 * minute - tech.time)
        tech.read(f"{needles[minute] / 1000:.0f}")
        tech.sees(re.compile(rf"^{minute + 1 - missed} of 16"))


def judged(text: str, car: Car) -> str:
    """Whether the verdict on the screen tells the truth about the car; returns its words."""
    truth = EXPOSURE * car.leak_flow(car.start) * 6e7
    said = " ".join(text.split())
    if "The pressure rises" in said:
        # By chance: those of one tight car in some hundreds rise by more than two standard errors.
        assert truth == 0.0, (truth, said)
        return "not judged, it rises"
    interval = re.search(r"([\d.]+) L/1000 km ([\d.]+) to ([\d.]+), 95 % sure", said)
    limit = re.search(r"(?:larger than|could miss) ([\d.]+) L/1000 km", said)
    if interval:
        value, low, high = map(float, interval.groups())
        assert value - STRETCH * (value - low) - 0.01 <= truth, (truth, said)
        assert truth <= value + STRETCH * (high - value) + 0.01, (truth, said)
        return interval[0]
    assert limit, said
    assert truth <= STRETCH * float(limit[1]), (truth, said)
    return limit[0]


@pytest.mark.parametrize(
    ("size", "kind"), [(PHONE, "leaking"), (NARROW, "settling")], ids=["390x844", "320x640"]
)
def test_the_whole_chain(
    phone: Phone, server: Server, tmp_path: Path, size: tuple[int, int], kind: str
) -> None:
    seed = a_seed()
    print(f"\nWEEPTRACE_SEED={seed}")
    rng = random.Random(seed)
    car = draw(rng, kind)  # type: ignore[arg-type]
    celsius = round(car.temperature - 273.15)
    capacity = round(car.liquid_volume * 1000 + 0.3, 1) / 1000
    drained = round(rng.uniform(0.4, 0.7) * capacity * 1000, 2) / 1000
    residual = rng.randrange(25, 50)

    phone.size = size
    tech = Technician(phone, server.url)
    tech.install()
    server.stop()

    describe(tech, car, capacity)
    make_safe(tech)
    first_look(tech)
    pass_the_gate(tech, celsius)
    look_at_the_coolant(tech)
    take_the_tester(tech)
    tech.title("Coolant level")
    tech.press("Menu")
    tech.press("Engine was run")
    pass_the_gate_again(tech, celsius)
    press_the_row(tech, "The fan is live", "Fan off")
    pump_up(tech, car)
    tech.no_sideways_scrolling()
    needles = car.needles([60.0 * minute for minute in range(16)], DIVISION, rng)
    hold(tech, needles, range(7))

    # Bad input in mid-series: kept, refused with the range, asked again; the readings stay.
    tech.wait(20.0)
    tech.read("250")
    tech.sees("Not taken")
    tech.sees(re.compile("Accepted: 0 to"))

    # Killed between two readings, one of which is missed; then between READ and STORE: the time
    # that was stopped is still there.
    tech.killed()
    tech.title("Pressure hold")
    tech.sees(re.compile("^7 of 16"))
    tech.wait(tech.first_needle + 480.0 - tech.time)
    tech.press("READ")
    tech.sees(re.compile(r"8:0\d\smin"))
    tech.key_in("1")
    tech.killed()
    tech.sees("Time stopped")
    tech.sees(re.compile(r"8:0\d\smin"))
    tech.press("Erase")
    tech.key_in(f"{needles[8] / 1000:.0f}")
    tech.store()
    tech.sees(re.compile("^8 of 16"))
    hold(tech, needles, range(9, 16), missed=1)
    tech.no_sideways_scrolling()
    tech.press("End")
    tech.sees("This hold cannot see")
    print(f"{kind}: {judged(tech.text(), car)}")
    tech.no_sideways_scrolling()
    tech.press("Seen, go on")
    look_around(tech)
    prove(tech)
    tech.title("Let the pressure off")
    tech.press("Pressure is off")
    agree(tech, "Radiator, no cooler in it", MATCHES, "480", "560")

    pass_the_gate_again(tech, celsius)
    tech.type("Missing before the work", "0")
    ready = ["Matched part is here", "Pan is large enough", "Belt, alternator covered"]
    tick_all(tech, "Before it is drained", ready)
    tech.type("Drain and catch", f"{1000 * drained:.2f}")
    tech.type("Strength of what stays in", str(residual))
    tick_all(tech, "Hoses off", HOSES)
    take_apart(tech, ["Under-tray", "Air guides"])
    tech.type("Fasteners that came off", "9")
    tech.choose("What lay hidden", "Nothing")
    tick_all(tech, "Old to new", TRANSFERS)
    put_together(tech, ["Air guides", "Under-tray"])
    finish_the_front(tech, "9")
    tech.choose("How do you fill", "At the open neck")
    tech.choose("Does the coolant fit", "It is what the maker asks")
    tech.type("Strength wanted", "50")
    tech.choose("Coolant at hand", "Concentrate and water")
    tech.press(f"Mixed, {1000 * drained:.2f} L")
    tech.choose("Dry air first", "No dry-air hold")
    bleed = ["Nose up, funnel sealed", "Heater full hot, rear too", "Screws open to a solid stream"]
    tick_all(tech, "Before it is poured", bleed)
    tech.type("Fill", f"{1000 * drained:.2f}")
    warm_up(tech)
    tech.skip("Bubbles at the open neck")
    tech.choose("Hold after the repair", "No hold after the repair")
    tech.choose("The old place", "Dry")
    drive_and_look_again(tech)
    tech.type("Spilled", "0")
    tech.sees("The balance closes")
    tech.no_sideways_scrolling()
    tech.press("Seen, go on")
    hand_back(tech)

    record = tech.downloads("Save record", tmp_path / "record.html")
    assert "Corvane Heron van" in record
    concentrate = 0.5 * capacity - residual / 100 * (capacity - drained)
    poured = re.search(r"([\d.]+)\xa0L concentrate", record)
    assert poured
    assert abs(float(poured[1]) - 1000 * concentrate) <= 0.006
    job = json.loads(tech.downloads("Export job", tmp_path / "job.json"))
    assert job["format"] == "weeptrace.job"
    assert sum(event["kind"] == "reading" for event in job["events"]) == 20
    tech.press("Close the job")
    tech.press("All jobs")
    tech.sees("Closed")

    # A damaged job file: refused whole, with reason and place. The whole one opens.
    damaged = tmp_path / "damaged.json"
    damaged.write_text((tmp_path / "job.json").read_text("utf-8")[:-300], "utf-8")
    tech.page.get_by_label("Open a job file").set_input_files(damaged)
    tech.sees(re.compile(r"damaged at line \d+"))
    tech.page.get_by_label("Open a job file").set_input_files(tmp_path / "job.json")
    tech.title("Hand-over record")

    assert phone.foreign == []
    assert phone.errors == []
    assert violations(tech.page) == []


def finish_the_front(tech: Technician, fasteners: str) -> None:
    """Connectors, plugs, latch; as many fasteners on as came off."""
    tick_all(tech, "Connectors", ["Locks shut: push, pull, look", "Every plug back and clipped"])
    plugs = ["Plugs tight, seals in", "Moves 2 to 4 mm on its rubbers"]
    tick_all(tech, "Plugs of the new part", plugs)
    tick_all(tech, "Front end", ["Latch on its marks", "Lamps, radar, camera as before"])
    tech.type("Fasteners that went on", fasteners)


def drive_and_look_again(tech: Technician, *, fan_is_off: bool = False) -> None:
    """No road test today; the cold level seen, clamps and strength not done."""
    if fan_is_off:
        press_the_row(tech, "The fan is still off", "Fan on again")
    tech.skip("Road test")
    pass_the_gate_again(tech, 20)
    press_the_row(tech, "The fan is live", "Fan off")
    tech.title("Cold level again")
    tech.press("Seen, go on")
    tech.skip("Worm clamps again")
    tech.skip("Strength after mixing")


def hand_back(tech: Technician) -> None:
    """Clean-up, the level watch, the last look; then the record."""
    tech.title("Wash it off")
    tech.press("Washed, taken up")
    tech.title("Which can")
    tech.write("Can", "blue can 2")
    tech.skip("Receipt")
    tech.title("Level watch")
    tech.press("Booked with the owner")
    tech.title("Before it goes back")
    tech.press("All gone through")
    press_the_row(tech, "The fan is still off", "Fan on again")
    tech.title("Hand-over record")


def log_the_warm_up(tech: Technician) -> None:
    """Four readings, the fan on and off."""
    for number, celsius in enumerate(("25", "55", "80", "92"), 1):
        tech.read(celsius)
        tech.sees(f"{number} read")
        tech.wait(58.0)
    tech.press("Fan on")
    tech.wait(40.0)
    tech.press("Fan off")
    tech.press("End")


def warm_up(tech: Technician) -> None:
    """A short warm-up, from the exhaust to what it shows."""
    tech.title("Open air or extraction")
    tech.press("Air is safe")
    tech.title("Fan on again")
    tech.press("Fan is on again")
    tech.title("Warm-up")
    log_the_warm_up(tech)
    tech.title("What the warm-up shows")
    tech.press("Seen, go on")


def press_the_row(tech: Technician, gate: str, row: str) -> None:
    """A gate that one press opens: what was done before is done again."""
    tech.title(gate)
    tech.press(row, exact=False)


def pass_the_gate_again(tech: Technician, celsius: float) -> None:
    """The system was pumped up since: the evidence is asked anew."""
    tech.title("Cool-down gate")
    tech.sees("Measured too long ago, or the car changed since")
    tech.press("Measure again")
    tech.key_in(f"{celsius:.0f}")
    tech.store()
    tech.press("None: upper hose soft", exact=False)


@pytest.mark.parametrize(
    ("sub", "words"),
    [
        ("it only drips at night", r"Leaking\s+[\d.]+"),
        ("sealed, filled to the neck", r"No leak found\s+larger than\s+[\d.]+"),
    ],
)
def test_the_practice_cars_end_in_their_verdicts(
    phone: Phone, server: Server, sub: str, words: str
) -> None:
    tech = Technician(phone, server.url)
    tech.install()
    server.stop()
    tech.press("kPa, °C, litres")
    tech.press(sub, exact=False)
    tech.sees("Practice data, not a real car")
    tech.sees(re.compile(words.split(r"\s")[0]))
    assert re.search(words, tech.text())
    assert phone.errors == []
    assert phone.foreign == []


def test_a_loose_hose_clamp_that_one_can_see_takes_at_most_forty_taps(
    phone: Phone, server: Server
) -> None:
    tech = Technician(phone, server.url)
    tech.install()
    server.stop()
    tech.taps = 0
    begin(tech, "Corvane Heron van", "I can see it")
    tech.title("Make it stand still")
    tech.press("It stands still")
    tech.title("Fan off")
    tech.press("Fan is off")
    tech.choose("Highest wet point", "Upper hose")
    tech.skip("Picture of it wet")
    tech.title("Dry it")
    tech.press("It is dry")
    tech.choose("Wet again?", "Wet again")
    tech.skip("Picture of it wet again")
    compared = ["Hose: bore, length, bends", "Clamp: kind and size"]
    agree(tech, "Hose or clamp", compared, "40", "")
    pass_the_gate(tech, 20)
    take_apart(tech, ["Clamp"])
    put_together(tech, ["Clamp"])
    tech.choose("Hold after the repair", "No hold after the repair")
    tech.choose("The old place", "Dry")
    tech.choose("The cap", "New cap, same rating")
    tech.press("Booked with the owner")
    press_the_row(tech, "The fan is still off", "Fan on again")
    tech.title("Hand-over record")
    print(f"\ntaps from opening the app to the record: {tech.taps}")
    assert tech.taps <= 40
    assert phone.errors == []
    assert phone.foreign == []
