"""What decides danger, weakened bit by bit, and judged by a world that knows no rules."""
