"""The loss room's reminder for the next look at the level."""

from __future__ import annotations

from datetime import date, datetime

from weeptrace.door.registry import Json, object_schema, operation
from weeptrace.loss import calendar
from weeptrace.refusal import Refusal


@operation(
    "loss.reminder",
    input=object_schema(
        {
            "uid": {"type": "string"},
            "stamp": {"type": "string"},
            "day": {"type": "string"},
            "summary": {"type": "string", "maxLength": 200},
            "description": {"type": "string", "maxLength": 2000},
        }
    ),
    output=object_schema({"calendar": {"type": "string"}}),
    sample={
        "uid": "01931f2e-7a10-7000-8000-000000000001",
        "stamp": "2031-05-01T08:00:00+02:00",
        "day": "2031-05-06",
        "summary": "level",
        "description": "cold",
    },
)
def loss_reminder(payload: Json) -> Json:
    """See ``weeptrace.loss.calendar.reminder``."""
    try:
        stamp = datetime.fromisoformat(payload["stamp"])
    except ValueError:
        raise Refusal(
            "not_a_date", "refused.door_loss.moment_writing_not_date", "stamp", "accepted.moment"
        ) from None
    try:
        day = date.fromisoformat(payload["day"])
    except ValueError:
        raise Refusal(
            "not_a_date", "refused.door_loss.day_not_date_write", "day", "accepted.day"
        ) from None
    text = calendar.reminder(
        uid=payload["uid"],
        stamp=stamp,
        day=day,
        summary=payload["summary"],
        description=payload["description"],
    )
    return {"calendar": text}
