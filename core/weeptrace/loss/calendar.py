"""A reminder for the level watch, as a phone's calendar reads it: iCalendar, RFC 5545.

The caller gives the identifier and the moment of writing: the core asks no clock.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final

from weeptrace.refusal import Refusal

_LONGEST_LINE: Final = 75  # octets without the line break, RFC 5545 section 3.1
_PRODUCT: Final = "-//weeptrace//level watch//EN"


def reminder(*, uid: str, stamp: datetime, day: date, summary: str, description: str) -> str:
    """The text of a calendar with one event of a whole day, with an alarm at nine that morning.

    Parameters
    ----------
    uid: a globally unique identifier, such as a UUID; 1 to 255 printable ASCII characters.
    stamp: the moment of writing, with its offset from UTC (DTSTAMP).
    day: the day of the look (DTSTART as a date).
    summary, description: plain text, one or more lines.

    Lines end in CRLF and are folded at 75 octets of UTF-8, never inside a character; backslash,
    semicolon, comma and line break in a text are escaped (sections 3.1, 3.3.11, 3.6.1, 3.6.6).

    Raises ``Refusal``: ``bad_uid``, ``no_offset``, ``empty``, ``out_of_range``.

    Valid for years 1 to 9999. Source: RFC 5545, iCalendar.

    >>> text = reminder(uid="a1", stamp=datetime(2031, 5, 1, 8, 0, tzinfo=UTC),
    ...     day=date(2031, 5, 6), summary="Look at the level, cold", description="Same ground.")
    >>> "SUMMARY:Look at the level\\\\, cold" in text.split("\\r\\n")
    True
    """
    if not re.fullmatch(r"[!-~]{1,255}", uid):
        raise Refusal(
            "bad_uid",
            "refused.calendar.identifier_printable_ascii_without",
            "uid",
            "accepted.characters",
        )
    if stamp.utcoffset() is None:
        raise Refusal(
            "no_offset", "refused.calendar.moment_writing_needs_its", "stamp", "accepted.such_as"
        )
    if not summary.strip():
        raise Refusal(
            "empty", "refused.calendar.reminder_needs_title", "summary", "accepted.character_more"
        )
    try:
        utc = stamp.astimezone(UTC)
        next_day = day + timedelta(days=1)
    except OverflowError:
        raise Refusal(
            "out_of_range", "refused.calendar.date_beyond_calendar_type", "day", "accepted.years"
        ) from None
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{_PRODUCT}",
        "BEGIN:VEVENT",
        f"UID:{uid}",
        f"DTSTAMP:{_date(utc)}T{utc:%H%M%S}Z",
        f"DTSTART;VALUE=DATE:{_date(day)}",
        f"DTEND;VALUE=DATE:{_date(next_day)}",
        f"SUMMARY:{_escaped(summary)}",
        f"DESCRIPTION:{_escaped(description)}",
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{_escaped(summary)}",
        "TRIGGER:PT9H",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
    ]
    return "".join(_folded(line) + "\r\n" for line in lines)


def _date(day: date) -> str:
    return f"{day.year:04d}{day.month:02d}{day.day:02d}"


def _escaped(text: str) -> str:
    """TEXT of section 3.3.11; what no text may hold is left out."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        lines = lines.replace(plain, escaped)
    return re.sub(r"[\x00-\x08\x0a-\x1f\x7f\ud800-\udfff]", "", lines)


def _folded(line: str) -> str:
    """The line in parts of at most 75 octets; each further part begins with a space."""
    parts, part, size = [], "", 0
    for character in line:
        octets = len(character.encode())
        if size + octets > _LONGEST_LINE:
            parts.append(part)
            part, size = " ", 1
        part, size = part + character, size + octets
    return "\r\n".join([*parts, part])
