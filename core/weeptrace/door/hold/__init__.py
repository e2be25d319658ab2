"""A hold under pressure or vacuum: judged, foreseen, compared."""

# Operations are listed in this order.
# isort: off
from weeptrace.door.hold import assess, known, levels, warming, overnight  # noqa: F401
