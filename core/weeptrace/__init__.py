"""weeptrace: from "it loses coolant" to a record that the customer believes."""

__version__ = "0.1.0"
