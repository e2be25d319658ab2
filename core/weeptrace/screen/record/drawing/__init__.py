"""The drawings of the record as SVG; ``svg`` is what they are made of."""
