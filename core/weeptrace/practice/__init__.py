"""A physical car with a hidden fault, for practice, for studies and for tests.

It integrates balance equations forward in time; it shares no code with the fits that judge a hold.
It may use ``properties``; no engine may use it. SI inside: Pa, K, m3, kg, s.

``car`` says what a car is made of and ``describe`` reads one from data; ``state`` is what is inside
at a moment; ``flow`` and ``balance`` move it on in time with ``integrate``; ``acts``, ``vacuum``
and ``warm`` are what a technician does; ``gauge`` is what a reader sees.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

CARS: Final = Path(__file__).parent / "cars"


def names() -> list[str]:
    """The practice cars that come with this version, by file name."""
    return sorted(path.stem for path in CARS.glob("*.toml"))
