"""Around the record's sections: head, edge, order, pictures, foot; and the same on the screen."""

from __future__ import annotations

import itertools
import re
from functools import cache
from html import escape
from typing import Any, Final, get_args

import pytest

from tests.logbook import Logbook
from tests.screen.hand.plain import NBSP, foot, heading, key, row, stores, table, title
from tests.screen.hand.told import word
from tests.screen.records import RULES, add, measured, mended_before, record, seen
from tests.screen.test_drawn import parts, spots
from tests.screen.test_view import blocks, view
from weeptrace import __version__
from weeptrace.finding import Estimate, Reason
from weeptrace.hold.data import Assessment, Verdict
from weeptrace.job import holds
from weeptrace.job.advance import fold
from weeptrace.screen.figures import Show
from weeptrace.screen.record.facts import sections
from weeptrace.screen.record.holds import finding
from weeptrace.screen.record.html import verdict_plate
from weeptrace.screen.record.sheet import html

Json = dict[str, Any]
JPEG: Final = "data:image/jpeg;base64,/9j/2Q=="
SHOW: Final = Show(RULES, next(e["units"] for e in RULES.unit_sets if e["id"] == "kpa"))
SHEET: Final = word("record.sheet").replace("'", "&#x27;")


LOGS: Final = {"new": Logbook, "held": measured, "seen": seen, "two": mended_before}


@cache
def html_of(id: str) -> str:
    return record(LOGS[id]())


def between(html: str, start: str, end: str) -> str:
    return html[html.index(start) : html.index(end) + len(end)]


@pytest.mark.parametrize(
    ("told", "about", "notes"),
    [
        ((), "<bdi>Car not named</bdi>, <bdi>2026-11-25 14:05</bdi>", ["so_far"]),
        (
            (("fact", "car.name", "Heron", None), ("fact", "job.number", "L-7", None)),
            "<bdi>Heron</bdi>, <bdi>job L-7</bdi>, <bdi>2026-11-25 14:05</bdi>",
            ["so_far"],
        ),
        (
            (("fact", "job.practice", "larkspur", None), ("fact", "shop.name", "A & B", None)),
            "<bdi>Car not named</bdi>, <bdi>2026-11-25 14:05</bdi></p><p><bdi>A &amp; B</bdi>",
            ["practice", "so_far"],
        ),
        ((("closed", "job.closed", "", None),),
         "<bdi>Car not named</bdi>, <bdi>2026-11-25 14:05</bdi>", []),
    ],
)  # fmt: skip
def test_the_head_says_car_job_day_and_shop(
    told: tuple[tuple[str, str, str, str | None], ...], about: str, notes: list[str]
) -> None:
    log = Logbook()
    add(log, told)
    log.now = 300.0
    html = record(log)
    said = "".join(f'<p class="note">{word(f"record.{note}")}</p>' for note in notes)
    head = between(html, "<header>", "</header>")
    assert head == f"<header><h1>{SHEET}</h1><p>{about}</p>{said}</header>"
    name = "Heron" if "Heron" in about else "Car not named"
    policy = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    assert html.startswith(
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light">'
        f"<title>{SHEET}, {name}</title><style>"
    )
    assert html.endswith("</footer></body></html>")


def test_the_foot_names_rules_version_and_record() -> None:
    foot_of = between(html_of("seen"), "<footer>", "</footer>")
    said = word("record.foot").replace("'", "&#x27;")
    assert foot_of == (
        f"<footer><span>{said}</span> <span>Rules {RULES.hash[:12]}, "
        f"version {__version__}, record <b>job-1</b></span></footer>"
    )
    other = between(record(Logbook("0123456789abcdef")), "<footer>", "</footer>")
    began = f"Rules {RULES.hash} (it began on 0123456789ab), "
    assert began in other


@pytest.mark.parametrize(("id", "here"), [("new", 1), ("held", 32), ("seen", 33)])
def test_the_edge_has_a_tick_for_each_phase(id: str, here: int) -> None:
    """A new job is taken in; the record is the last of 33; of a closed one all lies behind."""
    phases = RULES.procedures["coolant_loss"].phases
    ticks = []
    for n, phase in enumerate(phases):
        kind = "behind" if n < here else "now" if n == here else "ahead"
        late = " late" if n >= 16.5 else ""
        current = ' aria-current="step"' if n == here else ""
        name = word(f"phase.{phase.id}")
        ticks.append(f'<li class="{kind}{late}"{current}><span>{name}</span></li>')
    assert len(phases) == 33
    edge = between(html_of(id), '<ol class="edge"', "</ol>")
    assert edge == f'<ol class="edge" aria-label="Phases">{"".join(ticks)}</ol>'


def test_the_parts_stand_in_their_places() -> None:
    html = record(measured("p1"), photos={"p1": JPEG})
    order = [
        "<header>", '<ol class="edge"', '<section class="verdict">', "<div class=pair>",
        '<section class="car">', '<section class="cause">', "<section class=holds>",
        "<div class=columns>", '<section class="found">', '<section class="quote">',
        '<section class="parts">', '<section class="coolant">', '<section class="balance">',
        '<section class="warm">', '<section class="after_work">', '<section class="watch">',
        '<section class="not_checked">', '<section class="owner">', '<svg class="day"',
        '<section class="tester">', "<section class=pictures>", "<section class=readings>",
        f"<p class=sign>{word('record.technician')}</p><p class=sign>{word('record.received')}</p>",
        "<footer>",
    ]  # fmt: skip
    places = [html.index(each) for each in order]
    assert places == sorted(places)
    again = html_of("two")
    places = [again.index(f'<section class="{id}">') for id in ("warm", "earlier", "not_checked")]
    assert places == sorted(places)
    for id in ("coolant", "balance"):  # what the lengths tell is not told twice
        (text,) = re.findall(f'<section class="{id}">.*?</section>', html)
        told = re.findall("<th scope=row>([^<]*)</th>", text)
        assert not {
            word(f"field.coolant.{name}")
            for name in ("drained", "filled", "spilled", "missing_before")
        } & set(told)
        assert not [name for name in told if name.startswith("Waste")]


@pytest.mark.parametrize("count", [0, 1, 2])
def test_one_picture_stands_beside_the_readings_and_more_above_them(count: int) -> None:
    log = measured("p1")
    log.add("photo", "finding.photo_again", "p2")
    kept = {f"p{n}": JPEG for n in range(1, count + 1)}
    html = record(log, photos=kept)
    assert html.count("<img") == count
    assert ("<div class=pair><section class=pictures>" in html) is (count == 1)
    captions = [word("field.finding.photo_wet"), word("field.finding.photo_again")]
    shown = re.findall("<figure><img [^>]*><figcaption>([^<]*)</figcaption></figure>", html)
    assert [each.rpartition(",")[0] for each in shown] == captions[:count]
    missing = re.findall(f"<p>{word('record.sheet_line.erased')} ([^<]*)</p>", html)
    assert len(missing) == (count < 2)
    for name, clock in ((each.rpartition(",")[0], each[-5:]) for each in shown):
        assert name in captions
        assert re.fullmatch(r"\d\d:\d\d", clock)


def test_the_holds_stand_side_by_side_in_the_file_as_on_the_screen() -> None:
    log = measured()
    (compared,) = re.findall("<table class=compared>(.*?)</table>", html_of("held"))
    (shown,) = (b for b in view(log, "record")["blocks"] if b.get("heads"))
    heads = "".join(f"<th scope=col>{each}</th>" for each in shown["heads"][1:])
    assert len(shown["heads"]) == 3
    rows = "".join(
        f"<tr><th scope=row>{name}</th>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"
        for name, *cells in shown["rows"]
    )
    assert compared == f"<thead><tr><td></td>{heads}</tr></thead><tbody>{rows}</tbody>"
    html = html_of("held")
    assert re.findall("<section class=holds><h2>([^<]*)</h2>", html) == [word("record.holds")]
    names = re.findall(r"</svg><figcaption>(\w+): ", html)
    assert names == ["before", "after"]


def test_the_readings_stand_as_they_were_typed() -> None:
    html = html_of("held")
    (listed,) = re.findall("<section class=readings>.*?</section>", html)
    lines = re.findall("<li>([^<]*)</li>", listed)
    assert [line.split(", ")[0] for line in lines] == ["Hold", "Hold after the repair"]
    assert all(line.endswith("kPa.") and line.count("kPa") == 12 for line in lines)
    assert "<section class=readings>" not in html_of("seen")


@pytest.mark.parametrize("name", ["held", "seen", "two"])
def test_each_section_of_the_file_has_its_rows_and_lines_and_no_empty_list(name: str) -> None:
    html, drawn = html_of(name), () if name == "seen" else ("coolant", "balance")
    for id, section in sections(SHOW, fold(RULES, LOGS[name]().events)).items():
        rows = "".join(
            f"<tr><th scope=row>{escape(name)}</th><td>{escape(said.removesuffix('.'))}</td></tr>"
            for name, said in section.rows
        )
        lines = "".join(f"<li>{escape(line)}</li>" for line in section.lines)
        whole = f'<section class="{id}"><h2>{escape(word(f"record.{id}"))}</h2>'
        whole += f"<table>{rows}</table>" if rows else ""
        whole += f"<ul>{lines}</ul>" if lines else ""
        assert (f"{whole}</section>" in html) is (id not in drawn), id


def plate(monkeypatch: pytest.MonkeyPatch, log: Logbook, found: Assessment) -> list[str]:
    """The verdict's words in the file, in order: its head, then its paragraphs."""
    monkeypatch.setattr(holds, "assess", lambda rules, job, series: found)
    made = verdict_plate(SHOW, fold(RULES, log.events))
    assert made.startswith(f'<section class="verdict"><div class="plate {found.verdict}">')
    assert made.endswith("</section>")
    assert ('class="scratch"' in made) is (found.verdict == "not_judged")
    return re.findall("<(?:h2|p)>([^<]*)</(?:h2|p)>", made)


def test_the_verdict_of_the_file_says_what_it_hides_and_what_was_seen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    old = f"{word('field.after.old_place')}: {word('choice.after.old_place.dry')}."
    scale = f"{word('record.hold_line.scale')} L/1000 km."
    left = f"{word('weighed.left')}: {word('weighed.left_unknown')}."
    over = f"Hold at 110{NBSP}kPa, 11:00{NBSP}min, 10{NBSP}°C. {left}"
    none = Assessment("no_leak_found", not_larger_than=0.143e-9)
    hides = f"no leak found larger than 0.14{NBSP}L/1000{NBSP}km"
    assert plate(monkeypatch, measured(), none) == [
        f"{word('record.after')}: {hides}", over, old, scale, word("record.hides"),
        word("record.owner_wedge"),
    ]  # fmt: skip
    log = measured()
    log.add("not_done", "owner.rate")
    log.add("not_done", "after.old_place")
    assert plate(monkeypatch, log, none)[2:] == [scale, word("record.hides")]
    few = Assessment("not_judged", reason=Reason("few", "Too few."))
    assert plate(monkeypatch, measured(), few) == [
        f"{word('record.after')}: not judged", over, "Too few.", old
    ]  # fmt: skip
    before = Logbook()
    before.describe_car()
    before.pass_the_gate()
    before.fit_the_tester()
    before.read("110")
    before.read("109")
    before.add("fact", "after.old_place", "dry")  # no hold after: it stands with the cause alone
    sized = Assessment("seeping", per_distance=Estimate(0.2e-9, 0.1e-9, 0.3e-9))
    assert plate(monkeypatch, before, sized) == [
        f"{word('record.before')}: seeping, 0.20 (0.10 to 0.30){NBSP}L/1000{NBSP}km",
        f"Hold at 110{NBSP}kPa, 1:00{NBSP}min, 10{NBSP}°C.", f"0.10 to 0.30, 95{NBSP}% sure",
        scale, word("record.owner_wedge"),
    ]  # fmt: skip


def test_a_file_made_without_pictures_names_each_as_missing() -> None:
    log = measured("a")
    job = fold(RULES, log.events)
    made = html(SHOW, job, log.moment())
    assert made == html(SHOW, job, log.moment(), {})
    assert "<img" not in made
    assert word("record.sheet_line.erased") in made


def test_a_verdict_in_one_phrase_has_a_figure_only_where_there_is_one() -> None:
    """In kPa, °C and litres: a bound of 0.2 L/1000 km, or none."""
    for verdict in get_args(Verdict):
        head = " ".join(RULES.texts[f"verdict.{verdict}"])
        phrase, bound = head[0].lower() + head[1:], f" 0.20{NBSP}L/1000{NBSP}km"
        alone = finding(SHOW, Assessment(verdict))
        assert phrase.startswith(alone)
        sized = head.endswith(("larger than", "miss"))
        assert (phrase == alone) == (not sized)
        expected = phrase + bound if sized else alone
        assert finding(SHOW, Assessment(verdict, not_larger_than=0.2e-9)) == expected


def test_the_scratches_of_what_is_not_judged_are_parallel_and_as_far_apart() -> None:
    """Three strokes in a drawing of 60 by 80, none at its edge, as much free above as below."""
    made = verdict_plate(SHOW, fold(RULES, Logbook().events))
    assert 'viewBox="0 0 60 80"' in made
    strokes = [spots(each) for each in parts(made, "path", "tick")]
    feet, heads = ([stroke[n] for stroke in strokes] for n in (0, 1))
    assert len({(x - a, y - b) for (a, b), (x, y) in zip(feet, heads, strict=True)}) == 1
    (apart,) = {(x - a, y - b) for (a, b), (x, y) in itertools.pairwise(feet)}
    assert apart[0] > 0.0
    assert apart[1] == 0.0
    assert len(strokes) == 3
    assert feet[0][1] + heads[0][1] == 80.0
    assert all(2.0 < x < 58.0 and 2.0 < y < 78.0 for x, y in (*feet, *heads))


def test_a_picture_that_was_refused_is_none() -> None:
    log = seen()
    log.add("photo", "car.name", "p9")
    html = record(log, photos={"p9": JPEG})
    assert "<img" not in html
    assert "<section class=pictures>" not in html


# --- the same on the screen -----------------------------------------------------------------------

KEYS: Final = (
    key("Save record", {"call": "save_record"}, "export"),
    key("Print", {"call": "print"}, "print"),
    key("Export job", {"call": "export"}, "export"),
)


def test_the_record_s_keys_close_the_job_or_lead_back() -> None:
    log = measured()
    made = view(log)
    assert made["step"] == "hand_over"
    close = key(word("step.hand_over.main"), stores("closed", "job.closed"), "tick")
    assert made["foot"] == foot(close, *KEYS, caution=made["foot"]["caution"])
    log.add("closed", "job.closed")
    made = view(log)
    assert made["step"] == "record"
    assert made["foot"] == foot(key("All jobs", {"call": "home"}, "back"), *KEYS)
    early = Logbook()
    assert view(early, "record")["foot"] == foot(
        key("Back to the job", {"look": ""}, "back"), *KEYS
    )


@pytest.mark.parametrize("log", [measured(), seen(), mended_before()], ids=["held", "seen", "two"])
def test_the_record_on_the_screen_has_the_same_sections(log: Logbook) -> None:
    made = view(log, "record")["blocks"]
    assert made[0] == title(word("step.hand_over.title"))
    wanted: list[Json] = []
    for id, section in sections(SHOW, fold(RULES, log.events)).items():
        assert section.heading == word(f"record.{id}")
        wanted.append(heading(section.heading))
        wanted += [table(*map(list, section.rows), figures=())] if section.rows else []
        wanted += [row(None, "", line) for line in section.lines]
    plates = [b for b in made if b["block"] == "verdict"]
    holds = heading(word("record.holds"))
    assert (holds in made) == bool(plates)
    if not plates:
        assert made[1:] == wanted
        return
    assert made.count(holds) == 1
    at = made.index(holds)
    plots = [b for b in made if b["block"] == "plot"]
    assert len(plots) == 2
    assert made[at + 1]["block"] == "table"
    assert made[at + 2 : at + 4] == plots
    assert made[1] == plates[0]
    left = made[2]
    assert left["lines"][0].startswith(word("weighed.left"))
    assert [*made[3:at], *made[at + 4 :]] == wanted
    names = [b["text"] for b in blocks({"blocks": made[3:at]}, "heading")]
    assert names == [word("record.car"), word("record.found"), word("record.cause")] or (
        names == [word("record.car")]
    )
