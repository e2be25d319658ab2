"""Strength, flush, vacuum fill and heat of a filled system."""

# Operations are listed in this order.
# isort: off
from weeptrace.door.fill import mix, vacuum, heat  # noqa: F401
