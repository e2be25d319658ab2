"""The practice car at 1900 metres, from a vacuum that falls to the record, without a network."""

from __future__ import annotations

import random
import re
import tomllib
from pathlib import Path

from tests.browser.conftest import NARROW, ROOT, Phone, Server, violations
from tests.browser.stretches import (
    a_seed,
    drive_and_look_again,
    hand_back,
    look_at_the_stands_again,
    look_everywhere,
    nothing_foreign,
    pass_the_gate_again,
    still_again,
    tick_all,
    warm_up,
)
from tests.browser.technician import Technician
from tests.simulated_car import ML_PER_KPA, Car
from tests.simulated_vacuum import Drained, raoult

SCENARIO = ROOT / "demo_scenarios" / "larkspur_at_1900_metres.toml"
DIVISION = 2000.0


def test_radiator_at_1900_metres(phone: Phone, server: Server, tmp_path: Path) -> None:
    car = tomllib.loads(SCENARIO.read_text("utf-8"))
    truth, expected = car["truth"], car["expected"]
    seed = a_seed()
    print(f"\nWEEPTRACE_SEED={seed}")
    rng = random.Random(seed)
    phone.size = NARROW
    tech = Technician(phone, server.url)
    server.stop()
    tech.choose_units()
    tech.press("radiator at 1900 metres", exact=False)

    # The shape, not the needle: straight towards zero is air, and its inflow is this car's.
    tech.sees("Gross leak")
    tech.sees("Air leaks in")
    said = tech.text()
    best = re.search(r"Best: (.+)", said)
    weight = re.search(r"Air leaks in\s+(\d+) %", said)
    assert best, said
    assert weight, said
    assert best[1] == "Air leaks in"
    assert int(weight[1]) > 50
    assert near(r"Air through the opening\s+([\d.]+) mL/min", said, expected["air_ml_per_min"], 45)
    # What is left inside is a tenth of the air here, as deep as an ejector usually gets.
    assert near(r"Air still inside\s+([\d.]+) %", said, 10, 1.1)
    tech.no_sideways_scrolling()

    # The plug gets its seal ring; drawn again, it stands.
    tech.press("Pull it again")
    tech.title("Vacuum hold")
    boils = raoult(truth["temperature_c"])
    tight = Drained(
        volume=truth["evacuated_volume_l"] / 1000,
        start=1000 * truth["residual_absolute_kpa"],
        altitude=truth["altitude_m"],
        temperature=truth["temperature_c"] + 273.15,
        vapour_pressure=boils,
        vapour_start=boils,
        give=500.0,
    )
    read_off(tech, [abs(p) for p in tight.needles([60.0 * m for m in range(11)], DIVISION, rng)])
    tech.press_together("Missed", "End")  # the second before the first is answered
    tech.sees("This hold cannot see")
    tech.press("Readings")
    tech.sees("missed")
    tech.press("Back")
    tech.sees("This hold cannot see")
    assert "Gross leak" not in tech.text()
    tech.press("Continue")

    # One jug holds 5 L: too little for what it takes and 15 % and a litre at the pick-up.
    tech.type("Coolant in the container", "5")
    tech.title("What it will take")
    said = tech.text()
    assert near(r"It will take\s+([\d.]+) L", said, expected["uptake_l"], 0.15)
    assert near(r"Air that stays\s+([\d.]+) L", said, expected["air_left_l"], 0.15)
    assert near(r"([\d.]+) L must be ready", said, expected["container_l"], 0.2)
    assert near(r"([\d.]+) L short", said, expected["container_l"] - 5.0, 0.2)
    tech.sees(re.compile("Join it with the valve closed"))
    tech.press("Container is ready")
    pass_the_gate_again(tech, truth["temperature_c"])
    tech.type("Vacuum fill", f"{expected['uptake_l']:.2f}")
    tech.title("Cap on")
    tech.press("Cap is on and locked")
    tech.choose("Is it the right fluid?", "It meets the maker's spec")
    tech.title("Transmission fluid in")
    tech.sees(re.compile(r"0\.51.L"))
    tech.type("Transmission fluid in", "430")
    warm_up(tech, open_neck=False)
    look_at_the_stands_again(tech)
    tech.skip("Transmission level")

    # Wet again, filled to the neck: the finest hold, on the car as it is now.
    tech.choose("Hold after the repair", "Hold it again")
    still_again(tech)
    pass_the_gate_again(tech, 20)
    tech.title("Fit the tester")
    tech.press("Tester is on")
    sealed = Car(
        start=108e3,
        gas_volume=150e-6,
        compliance=0.45 * ML_PER_KPA,
        altitude=truth["altitude_m"],
        temperature=293.15,
        strength=0.479,
    )
    tech.type("Pump up", f"{max(1.0, sealed.strokes(sealed.start, 40e-6)):.0f}")
    read_off(tech, sealed.needles([60.0 * m for m in range(16)], DIVISION, rng))
    tech.press("End")
    tech.sees("This hold cannot see")
    tech.sees("No leak found")
    tech.press("Continue")
    tech.choose("The old leak point", "Dry")
    tech.choose("Any other leak point?", "Nothing else wet")
    tech.title("Let the pressure off")
    tech.press("Pressure is off")
    pass_the_gate_again(tech, 20)
    tick_all(tech, "Close it for the road", ["Level at cold MAX", "Cap on, last stop"])
    drive_and_look_again(tech, raised=True)
    tech.type("Spilled", "0.1")
    tech.title("Fluid balance")
    tech.no_sideways_scrolling()
    tech.press("Continue")
    hand_back(tech)
    look_everywhere(tech)
    record = tech.downloads("Save record", tmp_path / "record.html")
    for words in ("1900\xa0m", "430\xa0g", "Larkspur 2.4 automatic", "Practice data"):
        assert words in record, words
    nothing_foreign(tech, record)
    assert phone.errors == []
    assert phone.foreign == []
    assert violations(tech.page) == []


def read_off(tech: Technician, needles: list[float]) -> None:
    """One reading a minute."""
    tech.first_needle = tech.time
    for minute, needle in enumerate(needles):
        tech.wait(tech.first_needle + 60.0 * minute - tech.time)
        tech.read(f"{needle / 1000:.0f}")
        tech.sees(re.compile(rf"^{minute} of 15"))


def near(pattern: str, said: str, value: float, within: float) -> bool:
    """Whether the figure on the screen is the value, within so much."""
    found = re.search(pattern, said)
    assert found, (pattern, said)
    return abs(float(found[1]) - value) <= within
