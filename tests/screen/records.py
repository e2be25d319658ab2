"""Jobs whose record is looked at, and the record as a reader takes it apart."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from tests.logbook import Logbook
from weeptrace.door import call
from weeptrace.rules import load

RULES = load()
CHECKS = {s.id: s.checks for s in RULES.procedures["coolant_loss"].steps}
BEFORE = ("110", "109", "107", "107", "105", "104", "103", "102", "101", "100", "99", "98")
AFTER = ("110", *("109",) * 11)

Json = dict[str, Any]
Entries = tuple[tuple[str, str, str, str | None], ...]


def add(log: Logbook, entries: Entries, after: float = 20.0) -> None:
    for kind, name, typed, unit in entries:
        log.now += after
        log.add(kind, name, typed, unit)


def tick(log: Logbook, *steps: str) -> None:
    add(log, tuple(("done", name, "", None) for step in steps for name in CHECKS[step]))


def hold(log: Logbook, kin: str, needles: tuple[str, ...]) -> None:
    for needle in needles:
        log.now += 60.0
        log.add("reading", f"{kin}.pressure", needle, "kPa")
    add(log, (("mark", f"{kin}.ended", "", None), ("done", f"{kin}.seen", "", None)), 5.0)


def measured(picture: str | None = "", before: tuple[str, ...] = BEFORE) -> Logbook:
    """A radiator replaced, from the complaint to the proof, held before and after.

    ``picture`` is the id of the one taken of the wet place; "" for none taken, None for not asked.
    """
    log = Logbook()
    log.add("fact", "job.number", "L-014")
    log.add("fact", "shop.currency", "EUR")
    log.describe_car()
    log.add("done", "fan.off")
    log.pass_the_gate()
    log.fit_the_tester()
    hold(log, "hold", before)
    add(log, (("fact", "zone.radiator_seam", "wet", None),
              ("fact", "zone.valley", "not_reachable", None),
              ("done", "zone.seen", "", None),
              ("fact", "finding.place", "radiator_seam", None)))  # fmt: skip
    if picture is not None:
        log.add("photo" if picture else "not_done", "finding.photo_wet", picture)
    add(log, (("fact", "finding.watch", "pressure", None), ("done", "finding.dried", "", None),
              ("fact", "finding.wet_again", "wet", None),
              ("not_done", "finding.photo_again", "", None),
              ("done", "pressure.released", "", None), ("done", "pressure.level_set", "", None),
              ("done", "pressure.cap_on", "", None),
              ("fact", "repair.kind", "radiator", None)), 60.0)  # fmt: skip
    tick(log, "match_radiator")
    add(log, (("fact", "quote.reason", "Seam wet again after drying", None),
              ("fact", "quote.hours", "3.5", "h"),
              ("fact", "quote.parts", "310", "1"),
              ("done", "quote.risks_seen", "", None),
              ("fact", "quote.total", "480", "1"),
              ("fact", "quote.ceiling", "560", "1"),
              ("not_done", "quote.left_out", "", None),
              ("fact", "consent.who", "R. Sand", None),
              ("fact", "consent.how", "spoken", None)), 40.0)  # fmt: skip
    log.add("fact", "coolant.missing_before", "0.3", "L")
    tick(log, "drain_ready")
    log.pass_the_gate()
    add(log, (("fact", "coolant.drained", "4.3", "L"),
              ("fact", "coolant.residual_strength", "35", "%"))
              )  # fmt: skip
    tick(log, "lines")
    add(log, (("fact", "part.under_tray", "off", None),
              ("not_done", "part.condenser", "Stays on", None),
              ("fact", "part.upper_hose", "off", None),
              ("fact", "part.radiator", "off", None),
              ("done", "ledger.off_complete", "", None),
              ("fact", "fastener.off", "14", "1"),
              ("fact", "off.hidden", "none", None)), 240.0)  # fmt: skip
    tick(log, "transfer_radiator")
    add(log, (("fact", "part.radiator", "on", None),
              ("fact", "part.upper_hose", "on", None),
              ("fact", "part.under_tray", "on", None),
              ("done", "ledger.on_complete", "", None)), 240.0)  # fmt: skip
    tick(log, "joints", "connectors", "plugs", "front_end")
    add(log, (("fact", "fastener.on", "14", "1"),
              ("fact", "fill.how", "open_neck", None),
              ("fact", "coolant.label_fits", "fits", None),
              ("fact", "coolant.target_strength", "50", "%"),
              ("fact", "coolant.at_hand", "concentrate", None),
              ("done", "coolant.mixed", "", None),
              ("fact", "dry.wanted", "no_dry_air", None)), 90.0)  # fmt: skip
    tick(log, "bleed")
    add(log, (("fact", "coolant.filled", "4.55", "L"),
              ("fact", "engine.air", "outdoors", None),
              ("done", "fan.on", "", None), ("not_done", "bleed.no_bubbles", "", None),
              ("done", "fill.cap_on", "", None)), 90.0)  # fmt: skip
    for celsius in ("20", "45", "70", "88", "92"):
        log.now += 120.0
        log.add("reading", "warm.coolant", celsius, "°C")
    add(log, (("mark", "warm.fan_on", "", None), ("mark", "warm.ended", "", None),
              ("done", "warm.seen", "", None), ("fact", "after.wanted", "hold", None)))  # fmt: skip
    log.now += 3600.0
    log.pass_the_gate()
    add(log, (("done", "after.fitted", "", None), ("fact", "after.strokes", "5", "1")))
    hold(log, "after", AFTER)
    add(log, (("fact", "after.old_place", "dry", None), ("fact", "after.other", "none", None),
              ("done", "after.released", "", None), ("done", "after.level_set", "", None),
              ("done", "after.cap_on", "", None), ("done", "road.tray_on", "", None),
              ("not_done", "road.driven", "", None),
              ("done", "recheck.seen", "", None), ("not_done", "recheck.clamps", "", None),
              ("not_done", "recheck.strength", "", None),
              ("fact", "level.end", "at_mark", None), ("not_done", "level.litres", "", None),
              ("fact", "coolant.spilled", "0.05", "L"), ("done", "balance.seen", "", None),
              ("done", "clean.washed", "", None), ("fact", "clean.can", "the blue can", None),
              ("not_done", "clean.receipt", "", None),
              ("fact", "watch.level", "22", "mm"), ("not_done", "watch.area", "", None),
              ("fact", "watch.booked", "booked", None),
              ("done", "hand.seen", "", None)))  # fmt: skip
    return log


def with_every_section() -> Logbook:
    """The same, and what else a record can tell: more tests, more work, another hold, other fluids.

    Only an earlier round is not in it: ``mended_before``.
    """
    log = measured()
    add(log, (("fact", "test.kind", "overnight", None), ("fact", "test.block_evening", "21", "°C"),
              ("fact", "test.air_evening", "17", "°C"), ("fact", "test.strokes", "9", "1"),
              ("fact", "test.evening", "85", "kPa"), ("done", "test.relief_works", "", None),
              ("done", "test.child_safe", "", None), ("done", "test.note_left", "", None),
              ("fact", "test.morning", "40", "kPa"), ("fact", "test.block_morning", "12", "°C"),
              ("fact", "test.air_morning", "11", "°C"), ("done", "test.night_seen", "", None),
              ("fact", "test.cylinders", "not_looked", None),
              ("fact", "transmission.caught", "350", "g"),
              ("fact", "transmission.filled", "340", "g"),
              ("mark", "extra.found", "", None), ("fact", "extra.what", "Belt is soaked", None),
              ("fact", "extra.price", "40", "1"), ("fact", "extra.who", "R. Sand", None),
              ("fact", "extra.how", "written", None)))  # fmt: skip
    for needle in ("-90", "-89", "-88"):
        log.now += 60.0
        log.add("reading", "vacuum.pressure", needle, "kPa")
    return log


def mended_before() -> Logbook:
    """A job that was closed and opened again; of its fluids little was measured."""
    log = measured()
    add(log, (("closed", "job.closed", "", None), ("mark", "work.reopened", "", None),
              ("fact", "finding.place", "upper_hose", None),
              ("fact", "repair.kind", "hose_or_clamp", None),
              ("not_done", "coolant.spilled", "", None)))  # fmt: skip
    return log


def seen() -> Logbook:
    """A clamp that one can see: no tester, no hold, no coolant drained."""
    log = Logbook()
    add(log, (("fact", "car.name", "Selwick Heron van", None),
              ("fact", "arrival.hot", "no", None),
              ("fact", "work.where", "workshop", None),
              ("fact", "work.route", "seen", None),
              ("fact", "car.drive", "no_high_voltage", None),
              ("done", "safe.secured", "", None), ("fact", "safe.key", "engine_cold", None),
              ("done", "fan.off", "", None),
              ("fact", "finding.place", "upper_hose", None),
              ("not_done", "finding.photo_wet", "", None),
              ("fact", "finding.watch", "not_done", None),
              ("fact", "repair.kind", "hose_or_clamp", None),
              ("fact", "repair.opened", "reseated", None),
              ("fact", "quote.total", "40", "1"),
              ("fact", "consent.who", "R. Sand", None),
              ("fact", "consent.how", "spoken", None)))  # fmt: skip
    tick(log, "match_hose")
    log.pass_the_gate()
    add(log, (("fact", "part.clamp", "off", None), ("done", "ledger.off_complete", "", None),
              ("fact", "part.clamp", "on", None),
              ("done", "ledger.on_complete", "", None)))  # fmt: skip
    tick(log, "joints")
    add(log, (("fact", "after.wanted", "no_hold", None), ("fact", "after.old_place", "dry", None),
              ("fact", "level.end", "at_mark", None), ("not_done", "level.litres", "", None),
              ("fact", "level.put_in", "little", None),
              ("fact", "cap.how", "replaced", None),
              ("fact", "watch.booked", "booked", None),
              ("closed", "job.closed", "", None)))  # fmt: skip
    return log


def record(log: Logbook, **more: Any) -> str:
    answer = call("job.record", {"events": log.events, "now": log.moment(), **more})
    assert "html" in answer, answer
    made: str = answer["html"]
    return made


EMPTY = {"meta", "img"}  # the elements of the record that HTML lets stand without an end


@dataclass
class Page(HTMLParser):
    """The record as a reader takes it apart; a tag that does not close its own is a fault."""

    open: list[str] = field(default_factory=list)
    classes: list[str] = field(default_factory=list)
    texts: list[tuple[tuple[str, ...], str]] = field(default_factory=list)
    attributes: list[tuple[str, str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in EMPTY:
            self.open.append(tag)
            self.classes.append(dict(attrs).get("class") or "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert "svg" in self.open, f"<{tag}/> stands in HTML"
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        self.classes.pop()

    def handle_data(self, data: str) -> None:
        self.texts.append(((*self.open, *self.classes), data))

    def within(self, *names: str) -> list[str]:
        """The texts inside elements of these names or classes."""
        return [text for path, text in self.texts if set(names) <= set(path)]


def read(html: str) -> Page:
    page = Page()
    page.feed(html)
    page.close()
    assert page.open == []
    return page


def headings(page: Page) -> list[str]:
    return page.within("h2")
