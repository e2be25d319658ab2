"""The hand-over record: on the screen as blocks (``page``), as one HTML file (``sheet``)."""
