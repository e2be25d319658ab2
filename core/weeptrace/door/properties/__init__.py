"""Coolant, water and air; readings of a strength; openings and threads."""

# Operations are listed in this order.
# isort: off
from weeptrace.door.properties import fluids, readings, opening, thread  # noqa: F401
