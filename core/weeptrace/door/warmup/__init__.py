"""A warm-up log judged, and how long to the thermostat and to cold."""

# Operations are listed in this order.
# isort: off
from weeptrace.door.warmup import assess, time  # noqa: F401
