"""Where every litre went: the fluid balance of a drain and fill."""
