"""The level watch: common figures, boundaries of its verdicts, honest answers; its reminder."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import numpy as np
import pytest

from weeptrace.door import call
from weeptrace.loss.calendar import reminder
from weeptrace.loss.level_watch import Watch, half_width, watch
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

MM, KM, ML, CM2 = 1e-3, 1e3, 1e-6, 1e-4
PER_1000_KM = 1e-9  # m3/m of 1 L/1000 km


def look(**change: Any) -> Watch:
    given: dict[str, Any] = {"level_change": 0.0, "area": 100 * CM2, "distance": 2000 * KM}
    return watch(limits=limits(), **(given | change))


def door(**change: Any) -> dict[str, Any]:
    payload: dict[str, Any] = {
        "level_change": {"value": 0, "unit": "mm"},
        "area": {"value": 100, "unit": "cm²"},
        "distance": {"value": 2000, "unit": "km"},
    }
    return call("loss.level_watch", payload | change)


def test_common_figures_of_a_watch() -> None:
    """2 mm on 100 cm2 are 20 mL a look, 5 K on 8 L uncorrected 22 mL (common practice; computed
    from the stated formula): sqrt(2 x 20^2 + 22^2) = 35.8 mL, so 0.036 and 0.018 L/1000 km."""
    half = math.sqrt(2 * 20.0**2 + 22.0**2)
    assert look().volume_lost.high / ML == pytest.approx(half)
    assert look(distance=1000 * KM).per_distance.high / PER_1000_KM == pytest.approx(
        0.035, abs=1e-3
    )
    assert look().per_distance.high / PER_1000_KM == pytest.approx(0.018, abs=1e-4)
    level_only = look(temperature_before=290.0, temperature_after=290.0, temperature_half=0.0)
    assert level_only.volume_lost.high / ML == pytest.approx(math.sqrt(2) * 20.0)


@pytest.mark.parametrize(
    ("kilometres", "verdict"), [(1002, "no_leak_found"), (1003, "tight"), (2000, "tight")]
)
def test_tight_only_where_the_upper_bound_allows_it(kilometres: float, verdict: str) -> None:
    found = look(distance=kilometres * KM)
    assert found.verdict == verdict
    assert (found.not_larger_than <= 0.03 * PER_1000_KM) == (verdict == "tight")


def test_the_distance_for_tight_is_where_an_unchanged_level_becomes_tight() -> None:
    needed = look(distance=300 * KM).distance_for_tight
    assert look(distance=1.0001 * needed).verdict == "tight"
    assert look(distance=0.999 * needed).verdict == "no_leak_found"
    assert look(distance=needed).not_larger_than == pytest.approx(0.03 * PER_1000_KM)


@pytest.mark.parametrize(
    ("per_1000_km", "verdict"),
    [
        (0.02, "tight"),  # claimed, yet within what no owner notices
        (0.03, "tight"),
        (0.0301, "seeping"),
        (0.3, "seeping"),
        (0.3001, "leaking"),
        (5.0, "leaking"),
        (5.001, "gross"),
    ],
)
def test_classes_at_their_limits(per_1000_km: float, verdict: str) -> None:
    """A look without uncertainty: the class turns just at 0.03, 0.3 and 5 L/1000 km."""
    fall = per_1000_km * PER_1000_KM * 2000 * KM / (100 * CM2)
    found = look(
        level_change=fall,
        level_half=0.0,
        area_half=0.0,
        temperature_before=290.0,
        temperature_after=290.0,
        temperature_half=0.0,
    )
    assert found.per_distance.value / PER_1000_KM == pytest.approx(per_1000_km)
    assert found.verdict == verdict


def test_an_interval_over_two_classes_names_both() -> None:
    found = look(level_change=5 * MM, distance=200 * KM)
    assert found.per_distance.value / PER_1000_KM == pytest.approx(0.25)
    assert found.verdict == "seeping_or_leaking"


def test_a_claim_needs_the_lower_bound_above_zero() -> None:
    bound = 1.645 / 1.96 * look().volume_lost.high / (100 * CM2)
    exact = {"area_half": 0.0, "distance": 500 * KM}
    assert look(level_change=0.999 * bound, **exact).verdict == "no_leak_found"
    assert look(level_change=1.001 * bound, **exact).verdict == "seeping"


def test_the_temperature_is_taken_off() -> None:
    """8 L x 4.4e-4 /K at 20 °C x 6 K = 21.1 mL of warming that hides a loss."""
    found = look(
        level_change=0.0,
        temperature_before=290.15,
        temperature_after=296.15,
        liquid_volume=8e-3,
    )
    assert found.corrected / ML == pytest.approx(8000 * 4.4e-4 * 6)
    assert found.volume_lost.value == found.corrected
    assert found.assumed == ()
    cooler = look(temperature_before=296.15, temperature_after=290.15, liquid_volume=8e-3)
    assert cooler.corrected == pytest.approx(-found.corrected)


def test_the_interval_covers_by_simulation() -> None:
    """Two looks at +/-2 mm and +/-5 K (95 %) on 8 L: about 95 of 100 intervals hold the truth."""
    rng = np.random.default_rng(11)
    trials, truth, area = 4000, 60 * ML, 100 * CM2
    before, after = rng.normal(0.0, 2 * MM / 1.96, (2, trials))
    warming = rng.normal(0.0, 5 / 1.96, trials) * 8e-3 * 5.5e-4
    falls = (truth - warming) / area + after - before
    hits = 0
    for fall in falls:
        lost = look(level_change=float(fall), area_half=0.0).volume_lost
        hits += lost.low <= truth <= lost.high
    assert 0.94 < hits / trials < 0.96


def test_air_that_leaves_after_a_fill_is_no_leak() -> None:
    fall = 14 * MM  # 140 mL
    assert look(level_change=fall, distance=300 * KM).verdict == "leaking"
    assert look(level_change=fall, distance=300 * KM, filled="vacuum").verdict == "no_leak_found"
    more = look(level_change=40 * MM, distance=300 * KM, filled="vacuum")
    assert more.verdict == "leaking"
    poured = look(level_change=40 * MM, distance=300 * KM, filled="poured")
    assert poured.verdict == "no_leak_found"
    assert poured.per_distance.low < 0.0 < poured.per_distance.high


def test_poor_input_gets_an_honest_answer() -> None:
    short = look(distance=3 * KM)
    assert short.verdict == "not_judged"
    assert short.reason is not None
    assert short.reason.code == "too_short"
    rose = look(level_change=-6 * MM)
    assert rose.verdict == "not_judged"
    assert rose.reason is not None
    assert rose.reason.code == "rose"
    assert look().assumed == ("temperature_change", "liquid_volume")
    assert look(level_change=10 * MM, topped_up=0.2e-3).volume_lost.value == pytest.approx(0.3e-3)


def test_against_what_the_owner_tells() -> None:
    """A watch excludes the owner's rate only if it could have seen a third of it."""
    upper = look(distance=500 * KM).not_larger_than
    assert look(distance=500 * KM, owner_rate=3.001 * upper).verdict == "no_leak_found"
    assert look(distance=500 * KM, owner_rate=2.999 * upper).verdict == "too_weak"


def test_refused() -> None:
    with pytest.raises(Refusal, match="area must be above zero"):
        look(area=0.0)
    with pytest.raises(Refusal, match="distance must be above zero"):
        look(distance=-1.0)
    with pytest.raises(Refusal, match="One temperature"):
        look(temperature_before=290.0)
    with pytest.raises(Refusal, match="negative"):
        look(topped_up=-1e-3)


def test_through_the_door() -> None:
    found = door()
    assert found["verdict"] == "tight"
    assert found["per_1000_km"]["high"] == pytest.approx(0.0179, abs=5e-5)
    wide = door(level_change={"value": 0, "unit": "mm", "low": -10, "high": 10})
    assert wide["volume_lost"]["high"] == pytest.approx(math.hypot(100.0, 22.0))
    falling = {"value": 5, "unit": "mm", "low": 6, "high": 7}
    assert door(level_change=falling)["error"]["path"] == "level_change"
    assert door(area={"value": 100, "unit": "cm"})["error"]["code"] == "unknown_unit"
    assert door(area={"value": 1, "unit": "L"})["error"]["code"] == "wrong_dimension"
    assert door(area={"value": 0.01, "unit": "m²"}) == found
    hot = {"value": 200, "unit": "°C"}
    assert door(temperature_before=hot)["error"]["path"] == "temperature_before"


# --- the reminder --------------------------------------------------------------------------------


def parsed(text: str) -> list[tuple[str, str]]:
    """Content lines by the rules of RFC 5545: 3.1 (unfolding), 3.3.11 (TEXT)."""
    assert text.endswith("\r\n")
    physical = text.removesuffix("\r\n").split("\r\n")
    assert not any("\n" in line or "\r" in line for line in physical)
    assert max(len(line.encode()) for line in physical) <= 75
    lines: list[str] = []
    for line in physical:
        if line.startswith((" ", "\t")):
            lines[-1] += line[1:]
        else:
            lines.append(line)
    return [(name, unescaped(value)) for name, _, value in (line.partition(":") for line in lines)]


def unescaped(value: str) -> str:
    out, rest = "", iter(value)
    for character in rest:
        if character == "\\":
            character = next(rest)
            out += "\n" if character in "nN" else character
        else:
            out += character
    return out


def remind(**change: Any) -> str:
    given: dict[str, Any] = {
        "uid": "01931f2e-7a10-7000-8000-000000000001",
        "stamp": datetime(2031, 5, 1, 8, 30, 5, tzinfo=timezone(timedelta(hours=2))),
        "day": date(2031, 12, 31),
        "summary": "Look at the level, cold",
        "description": "Same ground; engine cold.\nPath C:\\n stays, 🚗 too: " + "ä…🚗" * 60,
    }
    return reminder(**(given | change))


def test_a_reminder_reads_back() -> None:
    lines = parsed(remind())
    assert lines[0] == ("BEGIN", "VCALENDAR")
    assert lines[-1] == ("END", "VCALENDAR")
    assert [value for name, value in lines if name == "BEGIN"] == ["VCALENDAR", "VEVENT", "VALARM"]
    assert [value for name, value in lines if name == "END"] == ["VALARM", "VEVENT", "VCALENDAR"]
    start = lines.index(("BEGIN", "VEVENT"))
    event = dict(lines[start + 1 : lines.index(("BEGIN", "VALARM"))])
    assert event["UID"] == "01931f2e-7a10-7000-8000-000000000001"
    assert event["DTSTAMP"] == "20310501T063005Z"
    assert event["DTSTART;VALUE=DATE"] == "20311231"
    assert event["DTEND;VALUE=DATE"] == "20320101"
    assert event["SUMMARY"] == "Look at the level, cold"
    assert event["DESCRIPTION"] == (
        "Same ground; engine cold.\nPath C:\\n stays, 🚗 too: " + "ä…🚗" * 60
    )
    assert {"PRODID", "VERSION"} <= {name for name, _ in lines}


@pytest.mark.parametrize("length", range(60, 160, 7))
def test_folding_never_splits_a_character(length: int) -> None:
    words = ("x" * (length % 5) + "漢é" * length)[:length]
    assert dict(parsed(remind(summary=words)))["SUMMARY"] == words


def test_no_text_makes_a_line_of_its_own() -> None:
    text = remind(summary="a\r\nATTENDEE:b\rc\x00", description="\nEND:VCALENDAR")
    assert [name for name, _ in parsed(text)].count("END") == 3
    assert dict(parsed(text))["SUMMARY"] == "a\nATTENDEE:b\nc"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"uid": ""}, "bad_uid"),
        ({"uid": "a b"}, "bad_uid"),
        ({"uid": "a\r\nb"}, "bad_uid"),
        ({"stamp": datetime(2031, 5, 1)}, "no_offset"),
        ({"summary": "  "}, "empty"),
        ({"day": date.max}, "out_of_range"),
        ({"stamp": datetime.min.replace(tzinfo=timezone(timedelta(hours=2)))}, "out_of_range"),
    ],
)
def test_a_reminder_refused(change: dict[str, Any], code: str) -> None:
    with pytest.raises(Refusal) as refusal:
        remind(**change)
    assert refusal.value.code == code


def test_a_reminder_through_the_door() -> None:
    payload = {
        "uid": "a1",
        "stamp": "2031-05-01T08:00:00+02:00",
        "day": "2031-05-06",
        "summary": "Level",
        "description": "",
    }
    lines = dict(parsed(call("loss.reminder", payload)["calendar"]))
    assert lines["DTSTAMP"] == datetime(2031, 5, 1, 6, tzinfo=UTC).strftime("%Y%m%dT%H%M%SZ")
    for key, bad, code in (
        ("stamp", "today", "not_a_date"),
        ("stamp", "2031-05-01", "no_offset"),
        ("day", "31.12.2031", "not_a_date"),
    ):
        assert call("loss.reminder", payload | {key: bad})["error"]["code"] == code


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [(None, None, 2.0), (4.5, None, 0.5), (None, 6.5, 1.5), (4.5, 6.5, 1.5), (3.0, 5.5, 2.0),
     (5.0, None, 0.0), (None, 5.0, 0.0)],
)  # fmt: skip
def test_half_a_width_by_the_ends_that_are_given(
    low: float | None, high: float | None, wanted: float
) -> None:
    """Of 5 with 2 as usual: one end alone is an interval; the wider side counts."""
    assert half_width(5.0, low, high, 2.0) == wanted
