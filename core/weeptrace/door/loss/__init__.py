"""The fluid balance, the level watch, the rate of a loss and its classes."""

# Operations are listed in this order.
# isort: off
from weeptrace.door.loss import balance, rate, lines, classes, reminder  # noqa: F401
