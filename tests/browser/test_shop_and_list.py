"""What is entered once, a list of many jobs, and a job that goes on on another phone."""

from __future__ import annotations

import json
import re
from pathlib import Path

from playwright.sync_api import Playwright, expect

from tests.browser.conftest import Phone, Server
from tests.browser.stretches import (
    first_look,
    hear_the_owner,
    look_at_the_coolant,
    make_safe,
    pass_the_gate,
)
from tests.browser.technician import Technician
from tests.browser.test_jobs import events


def test_tester_and_shop_are_entered_once(phone: Phone, server: Server) -> None:
    tech = Technician(phone, server.url)
    server.stop()
    tech.press("kPa, °C, litres")
    tech.press("My tester and shop")
    tech.title("My shop")
    tech.write("Shop", "Sand and Daughter")
    tech.title("Currency")
    tech.write("Currency", "EUR")
    tech.type("My tester: end of scale", "200")
    tech.type("My tester: one division", "2")
    tech.type("My tester: one stroke", "40")
    tech.type("My tester: on a blank", "0.5")
    tech.title("My adapters")
    tech.write("Adapters", "Neck wide, Neck narrow, Reservoir thread")
    tech.type("An hour's work", "80")
    tech.choose("Usual coolant", "Premix")
    tech.type("Usual strength", "50")
    tech.title("My tester and shop")
    tech.main("Keep these")
    tech.title("Stored so far")
    tech.press("Back")
    tech.sees("No job open")  # it is none of the jobs
    tech.wait(3600.0)
    tech.press("New job")
    tech.title("The car")
    job = tech.page.url.partition("#job=")[2]
    made = events(tech.page, job)
    assert (made[0]["kind"], made[0]["field"]) == ("opened", "rules")
    assert made[-1]["field"] == "job.number"
    entered = {event["field"]: (event["typed"], event["unit"]) for event in made[1:-1]}
    assert entered["shop.name"] == ("Sand and Daughter", None)
    assert entered["tester.span"] == ("200", "kPa")
    assert entered["tester.division"] == ("2", "kPa")
    assert entered["tester.own_fall"] == ("0.5", "kPa")
    assert "shop.done" not in entered
    # The day of a figure is the day on which it was measured, not that of the job.
    measured = {event["field"]: event["at"] for event in made[1:-1]}
    assert measured["tester.own_fall"] < made[0]["at"]

    # The tester's self-test: a step with a result of its own; a tester that leaks is mended first.
    tech.write("Car", "Selwick Heron van")
    tech.choose("Before you go near it", "No, cold and quiet")
    tech.choose("Where is the work done?", "In the workshop")
    tech.choose("How do you start?", "Measure it")
    tech.choose("Drive type", "No high voltage")
    hear_the_owner(tech)
    tech.type("Cap rating", "110")
    tech.skip("System capacity")
    tech.skip("Coolant in the car")
    tech.skip("Altitude here")
    tech.type("Air temperature here", "12")
    make_safe(tech)
    first_look(tech)
    pass_the_gate(tech, 12)
    look_at_the_coolant(tech)
    tech.choose("Which adapter?", "Neck narrow")
    tech.type("Tester on a blank", "3")
    tech.sees("Stop, because the tester itself leaks")
    tech.sees(re.compile(r"0.5.kPa, 2026-"))
    tech.no_sideways_scrolling()
    tech.main("Test it again")
    tech.type("Tester on a blank", "0")
    tech.title("What the tester loses")
    tech.sees("The tester holds")
    tech.main("Continue")
    tech.title("The cap")
    tech.press("Menu")
    tech.press("Stored so far")
    tech.sees("Sand and Daughter")
    assert phone.errors == []
    assert phone.foreign == []


def test_many_jobs_are_looked_for_by_words(phone: Phone, server: Server) -> None:
    tech = Technician(phone, server.url)
    server.stop()
    tech.press("kPa, °C, litres")
    expect(tech.page.get_by_label("Look for a job")).to_have_count(0)
    for name in ("Heron one", "Heron two", "Gannet", "Plover", "Teal"):
        tech.press("New job")
        tech.title("The car")
        tech.write("Car", name)
        tech.title("Before you go near it")
        tech.press("Back")
        tech.sees(name)
    names = tech.page.locator(".job-name strong")
    expect(names).to_have_count(5)
    tech.page.get_by_label("Look for a job").fill("HERON two")
    expect(names).to_have_text(["Heron two"])
    tech.sees("5 jobs open")
    tech.no_sideways_scrolling()
    tech.page.get_by_label("Look for a job").fill("no such car")
    tech.sees("No job of that name is on this phone.")
    tech.page.get_by_label("Look for a job").fill("")
    expect(names).to_have_count(5)
    assert phone.errors == []


def test_a_job_goes_on_on_another_phone(
    phone: Phone, server: Server, playwright: Playwright, tmp_path: Path
) -> None:
    tech = Technician(phone, server.url)
    tech.press("kPa, °C, litres")
    tech.press("New job")
    tech.title("The car")
    tech.write("Car", "Heron one")
    tech.title("Before you go near it")
    tech.press("Menu")
    with tech.page.expect_download() as caught:
        tech.page.get_by_role("dialog").get_by_role("button", name="Export the job").click()
    job = json.loads(Path(caught.value.path()).read_text("utf-8"))
    for event in job["events"]:  # whichever id comes first, what is done later comes later
        event["device"] = "zzzz"
    file = tmp_path / "job.json"
    file.write_text(json.dumps(job), "utf-8")

    other = Phone(playwright, tmp_path / "other", server.url)
    taker = Technician(other, server.url)
    taker.press("kPa, °C, litres")
    taker.page.get_by_label("Open a job file").set_input_files(file)
    taker.choose("Before you go near it", "No, cold and quiet")
    taker.choose("Where is the work done?", "In the workshop")
    taker.choose("How do you start?", "I can see it")
    taker.choose("Drive type", "No high voltage")
    taker.title("Secure the car")
    taker.press("Menu")
    taker.press("Stored so far")
    taker.sees("Heron one")
    assert other.errors == []
    other.stop()
