"""An independent hand: reckons what the pages must say, without the core's own code."""
