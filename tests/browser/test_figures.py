"""Every calculation of the core by phone alone, without a network: the page "Look up a figure"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, Playwright, expect

from tests.browser.conftest import NARROW, phone_with_server, violations
from tests.browser.technician import NBSP, PATIENCE, SET_KEYS, Technician
from tests.exact_units import EXACT
from tests.screen.foreign import SETS, foreign
from weeptrace import door

TYPED = sorted(
    name for name in door.OPERATIONS if name.partition(".")[0] not in ("job", "practice")
)

# Names of what can be pressed and is lower or narrower than 48 px.
TOO_SMALL = """() => [...document.querySelectorAll("button, select, summary, input, label.key")]
  .filter((each) => each.checkVisibility() && !each.classList.contains("hidden"))
  .map((each) => [each.ariaLabel || each.textContent.trim(), each.getBoundingClientRect()])
  .filter(([, box]) => box.height < 48 || box.width < 48)
  .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)"""
OPEN_ALL = "() => document.querySelectorAll('details').forEach((each) => { each.open = true; })"
# Words of what runs out of the screen at the right.
TOO_WIDE = """() => [...document.querySelectorAll("main *")]
  .filter((each) => each.checkVisibility() && each.getBoundingClientRect().right > innerWidth + 1)
  .map((each) => `${each.tagName} ${each.textContent.trim().slice(0, 40)}`)"""


@pytest.fixture(scope="module")
def tech(
    playwright: Playwright, dist: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Technician]:
    """A technician with the narrow phone, the app on it, and no network any more."""
    folder = tmp_path_factory.mktemp("figures")
    with phone_with_server(playwright, dist, folder, NARROW) as (phone, server):
        one = Technician(phone, server.url)
        server.stop()
        one.press("kPa, °C, litres")
        yield one


@pytest.fixture(autouse=True)
def clean(tech: Technician, request: pytest.FixtureRequest) -> Iterator[None]:
    """Each test begins on the list, and leaves neither an error nor a breach of the policy.

    One that takes ``fresh`` begins on an app loaded afresh: nothing is typed yet in any figure.
    """
    if "fresh" in request.fixturenames:
        tech.page.goto(tech.url)
        tech.press("Look up a figure")
    else:
        tech.page.evaluate("() => { location.hash = '#figures'; }")
    tech.title("Look up a figure")
    expect(rows(tech.page).first).to_be_visible(timeout=PATIENCE)
    yield
    assert tech.phone.errors == []
    assert tech.phone.foreign == []
    assert violations(tech.page) == []


@pytest.fixture
def fresh() -> None:
    """Asks ``clean`` for an app in which nothing was typed."""


def choose_units(tech: Technician, words: str) -> None:
    """Choose a set of units in the menu, and close it."""
    tech.press("Menu")
    tech.press(words)
    tech.press("Close")


def rows(page: Page) -> Locator:
    """The list's rows, one a figure."""
    return page.get_by_role("main").get_by_role("listitem")


def look_up(tech: Technician, title: str) -> Page:
    """Open the figure of this title."""
    tech.press(title, exact=False)
    tech.title(title)
    return tech.page


def answer(tech: Technician) -> str:
    """Work it out, and the words of the answer."""
    tech.main("Work it out")
    region = tech.page.get_by_role("region", name=re.compile("^Answer"))
    expect(region).to_be_visible(timeout=PATIENCE)
    return region.inner_text().replace(NBSP, " ")


def test_water_boils_at_99_6_degrees_at_one_bar(tech: Technician, fresh: None) -> None:
    page = look_up(tech, "Water: boiling point")
    expect(page.get_by_label("Pressure", exact=True)).to_have_value("")
    page.get_by_label("Pressure", exact=True).fill("1,0")
    page.get_by_label("Pressure, unit").select_option("bar")
    # 372.7559 K at 0.1 MPa: IAPWS-IF97 (R7-97), table 36, equation 31.
    assert re.search(r"Boiling point\s+99\.6 °C", answer(tech))


def test_what_was_typed_stays_on_the_way_back_and_forth(tech: Technician) -> None:
    page = look_up(tech, "Air pressure at an altitude")
    page.get_by_label("Altitude", exact=True).fill("1900")
    tech.press("Back")
    tech.title("Look up a figure")
    page = look_up(tech, "Air pressure at an altitude")
    expect(page.get_by_label("Altitude", exact=True)).to_have_value("1900")
    tech.press("Show the example")
    tech.press("Put the example away")
    expect(page.get_by_label("Altitude", exact=True)).to_have_value("1900")


def test_a_refused_value_shows_its_range_beside_its_field(tech: Technician) -> None:
    page = look_up(tech, "Air pressure at an altitude")
    altitude = page.get_by_label("Altitude", exact=True)
    altitude.fill("9000")
    tech.main("Work it out")
    expect(altitude).to_have_accessible_description(
        re.compile("Altitude is 9000\\sm; accepted is \N{MINUS SIGN}500 to 5000\\sm"),
        timeout=PATIENCE,
    )
    expect(altitude).to_be_focused()
    expect(altitude).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("region", name="Answer")).to_have_count(0)
    altitude.fill("0")
    expect(altitude).to_have_attribute("aria-invalid", "false")
    # 101325 Pa at sea level: ICAO Doc 7488, by definition.
    assert re.search(r"Pressure\s+absolute\s+101\.3 kPa", answer(tech))


def test_a_range_of_the_schema_is_told_too_and_what_is_missing(tech: Technician) -> None:
    page = look_up(tech, "What the gauge should show")
    tech.main("Work it out")
    pressure = page.get_by_label("Pressure", exact=True)
    expect(pressure).to_have_accessible_description(re.compile("Not typed yet"))
    tech.press("Show the example")
    exponent = page.get_by_label("Exponent", exact=True)
    exponent.fill("9")
    tech.main("Work it out")
    expect(exponent).to_have_accessible_description(
        re.compile(r"Accepted: 0\.3 to 2\.5"), timeout=PATIENCE
    )
    exponent.fill("one")
    tech.main("Work it out")
    expect(exponent).to_have_accessible_description(re.compile("not a number"))


def test_the_mix_plan(tech: Technician) -> None:
    page = look_up(tech, "Mix plan")
    for label, litres in (("Capacity", "7.5"), ("Drained", "4.1"), ("Missing before", "0.2")):
        page.get_by_label(label, exact=True).fill(litres)
    page.get_by_label("Residual strength", exact=True).fill("38")
    page.get_by_label("Residual strength, unit").select_option("%")
    page.get_by_label("Target", exact=True).fill("50")
    page.get_by_label("Target, unit").select_option("%")
    tech.press("ethylene")
    stands_ready = page.get_by_role("group", name="At hand")
    stands_ready.get_by_role("button", name="concentrate").click()
    tech.press("Add: Container 2")
    second = page.get_by_role("group", name="Container 2")
    second.get_by_role("button", name="water").click()
    said = answer(tech)
    # 3.2 L of 38 % stay in, 4.3 L go in: (7.5 x 0.50 - 3.2 x 0.38) L of glycol, the rest water.
    assert re.search(r"concentrate\s+100 %\s+2\.53 L", said), said
    assert re.search(r"water\s+0 %\s+1\.77 L", said), said


def test_a_level_that_is_better_known_is_answered_more_sharply(tech: Technician) -> None:
    page = look_up(tech, "Level watch")
    tech.press("Show the example")
    level = page.get_by_label("Level change", exact=True)
    expect(level).to_have_accessible_description(re.compile("positive: it fell"))
    for name, ends in {"Area": 2, "Distance": 0, "Temperature before": 2}.items():
        expect(page.get_by_label(re.compile(f"^{name}, (from|to), 95.%$"))).to_have_count(ends)
    unknown = within(answer(tech))
    page.get_by_label("Level change, from, 95 %").fill("0.9")
    page.get_by_label("Level change, to, 95 %").fill("1.1")
    known = within(answer(tech))
    assert unknown[0] < known[0] < known[1] < unknown[1]


def within(said: str) -> tuple[float, float]:
    """The interval of the volume that was lost."""
    found = re.search(r"Volume lost\s+\S+ mL\s+(\S+) to (\S+),", said)
    assert found is not None, said
    low, high = (float(each.replace("\N{MINUS SIGN}", "-")) for each in found.groups())
    return low, high


def test_causes_are_asked_and_told_in_words(tech: Technician) -> None:
    page = look_up(tech, "Likely causes")
    tech.sees("First choose: Finding.")
    first = page.get_by_role("group", name="Observation 1")
    first.get_by_label("Finding").select_option("Water-pump weep hole (mirror or borescope)?")
    first.get_by_label(re.compile("^Water-pump weep hole")).select_option("Wet or fresh crust")
    tech.press("Add: Observation 2")
    second = page.get_by_role("group", name="Observation 2")
    second.get_by_label("Finding").select_option("Cap on its own on the tester?")
    cap = second.get_by_label("Cap on its own on the tester?", exact=True)
    cap.select_option("Does not hold at all")
    low = second.get_by_label("Cap on its own on the tester?, from, 95 %")
    expect(low).to_have_count(0)
    second.get_by_label("or a figure", exact=True).fill("0.98")
    expect(cap).to_have_value("")
    low.fill("0.95")
    tech.press("Add: Feature 1")
    page.get_by_label("Feature 1").select_option("Drain plug in the radiator")
    said = answer(tech)
    assert re.search(r"Causes\s+water-pump shaft seal \(weep\)\s+\d\d %", said), said
    page.get_by_text("water-pump shaft seal (weep)").first.click()
    region = page.get_by_role("region", name="Answer")
    expect(region).to_contain_text("Water-pump weep hole (mirror or borescope)?")
    # No id of the core stands there, with its underscores or without them.
    names = "|".join(id.replace("_", "[_ ]") for id in ("weep_hole_look", "pressure_test_cold"))
    assert not re.search(names, said), said
    # Another question takes the answer to the one before away.
    second.get_by_label("Finding").select_option("Cooling fan(s)?")
    expect(second.get_by_label("Cooling fan(s)?")).to_have_value("")


def test_the_answer_is_in_the_units_that_were_chosen(tech: Technician, fresh: None) -> None:
    choose_units(tech, SET_KEYS["psi"])
    page = look_up(tech, "Water: boiling point")
    # 101.325 kPa is 14.696 psi; water boils there at 373.124 K (IAPWS-IF97), 211.95 °F.
    expect(page.get_by_label("Pressure, unit")).to_have_value("psi", timeout=PATIENCE)
    page.get_by_label("Pressure", exact=True).fill("14.696")
    assert re.search(r"Boiling point\s+212 °F", answer(tech))
    tech.press("Back")
    page = look_up(tech, "Air pressure at an altitude")
    # -500 to 5000 m, a foot being 0.3048 m
    expect(page.get_by_label("Altitude", exact=True)).to_have_accessible_description(
        re.compile("above sea level, \N{MINUS SIGN}1640 to 16400\\sft")
    )
    choose_units(tech, SET_KEYS["kpa"])


def test_an_example_is_in_the_units_that_are_chosen_or_is_left_out(
    tech: Technician, fresh: None
) -> None:
    """1900 m are 6234 ft, a foot being 0.3048 m."""
    page = look_up(tech, "Air pressure at an altitude")
    altitude, unit = page.get_by_label("Altitude", exact=True), page.get_by_label("Altitude, unit")
    expect(altitude).to_have_attribute("placeholder", "e.g. 1900\xa0m", timeout=PATIENCE)
    unit.select_option("ft")
    expect(altitude).to_have_attribute("placeholder", "")
    unit.select_option("m")
    expect(altitude).to_have_attribute("placeholder", "e.g. 1900\xa0m")
    tech.press("Show the example")
    expect(altitude).to_have_value("1900")
    choose_units(tech, SET_KEYS["psi"])
    expect(altitude).to_have_value("6234", timeout=PATIENCE)
    expect(unit).to_have_value("ft")
    choose_units(tech, SET_KEYS["kpa"])


def test_an_id_that_is_answered_is_told_in_words(tech: Technician) -> None:
    page = look_up(tech, "Judge a hold")
    tech.press("Show the example")
    said = answer(tech)
    assert re.search(r"Favoured explanation\s.*\s+leak and settling", said), said
    assert "liquid_volume" not in said
    ways = page.get_by_role("group", name="Kind").first
    expect(ways.get_by_role("button", name="vacuum")).to_be_visible()


# Units that no set has: what is given in one unit to everybody.
ONE_UNIT = {
    # as its tables and data sheets do
    "Coolant: freezing, boiling, density": {"1/K", "kJ/(kg·K)", "mPa·s"},
    "What the gauge should show": {"K/min"},  # the warming rate; no gauge shows one
    "Pressure by warming alone": {"1/K"},  # the expansion, as the table of coolants gives it
    "How fast coolant goes": {"min/1000 km"},  # time under pressure; the core knows no other unit
}


def test_with_psi_no_figure_asks_or_answers_in_another_unit(tech: Technician, fresh: None) -> None:
    choose_units(tech, SET_KEYS["psi"])
    page = look_up(tech, "Air pressure at an altitude")
    expect(page.get_by_label("Altitude, unit")).to_have_value("ft", timeout=PATIENCE)
    tech.press("Back")
    expect(rows(tech.page)).to_have_count(len(TYPED))
    tech.seen.clear()
    for place in range(len(TYPED)):
        rows(tech.page).nth(place).get_by_role("button").click()
        expect(tech.page.get_by_role("button", name="Show the example")).to_be_visible()
        tech.page.evaluate(OPEN_ALL)
        tech.press("Show the example")
        tech.page.evaluate(OPEN_ALL)
        answer(tech)
        tech.page.evaluate(OPEN_ALL)
        tech.press("Back")
    choose_units(tech, SET_KEYS["kpa"])
    assert len(tech.seen) > 1000
    found = {(title, unit) for line, title in tech.seen.items()
             for unit in foreign(f"1 {line}" if line in EXACT else line, SETS["psi"])}  # fmt: skip
    assert found == {(title, unit) for title, units in ONE_UNIT.items() for unit in units}


def test_the_list_is_searched_by_its_words(tech: Technician) -> None:
    page = tech.page
    expect(rows(page)).to_have_count(len(TYPED))
    page.get_by_role("searchbox", name="Look for a figure").fill("entry calendar")
    expect(rows(page)).to_have_count(1)
    expect(rows(page)).to_contain_text("asks for the next look at the level")
    page.get_by_role("searchbox", name="Look for a figure").fill("carburettor")
    tech.sees("No figure has these words")
    page.get_by_role("searchbox", name="Look for a figure").fill("")


def test_the_menu_leads_there_from_a_job_and_back(tech: Technician) -> None:
    tech.press("Back")
    tech.press("New job")
    tech.title("The car")
    tech.press("Menu")
    tech.press("Look up a figure")
    tech.title("Look up a figure")
    tech.press("Back")
    tech.title("The car")
    tech.press("Back")
    tech.title("1 job open")


@pytest.mark.parametrize("place", range(len(TYPED)))
def test_every_figure_is_worked_out_from_its_example(tech: Technician, place: int) -> None:
    row = rows(tech.page).nth(place).get_by_role("button")
    row.click()
    example = tech.page.get_by_role("button", name=re.compile("^(Show the|Put the) example"))
    expect(example).to_be_visible()
    if example.inner_text().startswith("Put"):  # another test left it there
        example.click()
    tech.press("Show the example")
    tech.sees("Example: these figures are not from a car.")
    tech.main("Work it out")
    region = tech.page.get_by_role("region", name="Answer to the example")
    expect(region).to_be_visible(timeout=PATIENCE)
    assert region.get_by_role("row").count() > 0
    said = region.inner_text()
    assert not re.search(r"undefined|NaN|\[object|null", said), said
    tech.no_sideways_scrolling()
    assert tech.page.evaluate(TOO_SMALL) == []
    assert tech.page.evaluate(TOO_WIDE) == []
    tech.press("Back")
