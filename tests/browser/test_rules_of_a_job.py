"""An update brings other rules: a job that began before it stays on its own, a new one does not."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import zipfile
from pathlib import Path
from typing import Any

from tests.browser.conftest import Phone, Server, violations
from tests.browser.stretches import first_look, hear_the_owner
from tests.browser.technician import Technician
from tests.browser.test_runtime import UPDATE
from weeptrace.rules.kept import hash_of

SITE = "runtime/site.zip"
BUNDLE = "weeptrace/rules/bundle.json"
BELOW = 313.15  # K: the gate of the earlier rules, 40 degrees; today's is 50
TITLE = "Pull the plug of the fan"  # words of the earlier rules; today's are "Disconnect the fan"

FORGET = """(hash) => new Promise((resolve) => {
  indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
    const write = db.transaction("bundles", "readwrite");
    write.objectStore("bundles").delete(hash);
    write.oncomplete = () => { db.close(); resolve(); };
  };
})"""
KEPT = """() => new Promise((resolve) => {
  indexedDB.open("weeptrace").onsuccess = ({ target: { result: db } }) => {
    const all = db.transaction("bundles").objectStore("bundles").getAllKeys();
    all.onsuccess = () => { db.close(); resolve(all.result); };
  };
})"""


def bundle_of(folder: Path) -> dict[str, Any]:
    """The rules that a built app carries."""
    with zipfile.ZipFile(folder / SITE) as archive:
        read: dict[str, Any] = json.loads(archive.read(BUNDLE))
    return read


def make_earlier(folder: Path) -> str:
    """Give a copy of the built app other rules, as a release of its own; returns their hash."""
    rules = bundle_of(folder)
    assert rules["limits"]["gate.temperature"] > BELOW
    rules["limits"]["gate.temperature"] = BELOW
    rules["texts"]["step.fan_off.title"] = TITLE
    rules["hash"] = hash_of(rules)
    with zipfile.ZipFile(folder / SITE) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts[BUNDLE] = json.dumps(rules, ensure_ascii=False).encode()
    with zipfile.ZipFile(folder / SITE, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    digest = hashlib.sha256((folder / SITE).read_bytes()).hexdigest()
    worker = folder / "service-worker.js"
    text, files = re.subn(rf'("{SITE}": ")[0-9a-f]{{64}}', rf"\g<1>{digest}", worker.read_text())
    text, names = re.subn(r'("release": ")[0-9a-f]+', rf"\g<1>{digest[:12]}", text)
    assert (files, names) == (1, 1)
    worker.write_text(text)
    return str(rules["hash"])


def intake(tech: Technician, name: str) -> None:
    """A new job, up to the fan."""
    tech.press("New job")
    tech.title("The car")
    tech.write("Car", name)
    tech.choose("Before you go near it", "No, cold and quiet")
    tech.choose("Where is the work done?", "In the workshop")
    tech.choose("How do you start?", "Measure it")
    tech.choose("Drive type", "No high voltage")
    hear_the_owner(tech)
    tech.type("Cap rating", "110")
    tech.type("System capacity", "7.6")
    tech.choose("Coolant in the car", "Ethylene glycol")
    tech.type("Altitude here", "190")
    tech.type("Air temperature here", "40")
    tech.title("Secure the car")
    tech.press("Car is secured")
    tech.skip("Will the battery be off?")
    tech.choose("Keep engine and fan still", "Key away, engine cold")


def measure_45(tech: Technician) -> None:
    """A first look; then what the gate asks first."""
    first_look(tech)
    tech.title("Cool-down gate")
    tech.press("Measure now")
    tech.key_in("45")
    tech.store()


def test_an_old_job_stays_on_its_own_rules_over_an_update(
    dist: Path, server: Server, phone: Phone, tmp_path: Path
) -> None:
    today = bundle_of(dist)["hash"]
    earlier = make_earlier(server.folder)
    tech = Technician(phone, server.url)
    tech.press("kPa, °C, litres")
    intake(tech, "Selwick Heron van")
    tech.title(TITLE)
    assert "earlier" not in tech.text()
    assert tech.page.evaluate(KEPT) == [earlier]

    for name in (SITE, "service-worker.js"):
        shutil.copy(dist / name, server.folder / name)
    assert tech.page.evaluate(UPDATE) == "installed"
    tech.press("Menu", exact=False)
    with tech.page.expect_navigation():
        tech.press("Take the new version")
    server.stop()

    # The old job: its words, its limit, and what it says of itself.
    tech.title(TITLE)
    tech.press("Menu")
    tech.sees(f"This job: Runs on earlier rules {earlier}")
    tech.sees(f"New jobs run on rules {today}")
    tech.press("Record so far")
    tech.sees(f"Runs on earlier rules {earlier}")
    saved = tech.downloads("Save record", tmp_path / "old.html")
    assert f"Rules {earlier} of an earlier version" in saved
    tech.press("Back to the job")
    tech.press("Fan is disconnected")
    measure_45(tech)
    tech.sees(re.compile(r"40\s°C"))
    assert tech.page.get_by_role("button", name=re.compile("None: upper hose soft")).count() == 0
    assert sorted(tech.page.evaluate(KEPT)) == sorted([earlier, today])

    # A new job, beside it: today's words, today's limit, nothing to say.
    tech.press("Back")
    intake(tech, "Selwick Larkspur 2.4")
    tech.title("Disconnect the fan")
    tech.press("Fan is disconnected")
    measure_45(tech)
    tech.press("None: upper hose soft", exact=False)
    tech.title("Cold level")
    assert "earlier" not in tech.text()

    # Where the rules are no longer on the phone, it says so and goes on by the present ones.
    tech.page.evaluate(FORGET, earlier)
    tech.press("Back")
    tech.press("Selwick Heron van", exact=False)
    tech.sees(f"Its own rules are not on this phone: {earlier}")
    tech.sees(f"Judged by the present ones, {today}.")
    tech.press("None: upper hose soft", exact=False)
    tech.title("Cold level")

    assert phone.errors == []
    assert phone.foreign == []
    assert violations(tech.page) == []
