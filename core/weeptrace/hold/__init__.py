"""The hold room: a timed series of pressures, and what it says about a leak.

``data`` what goes in and comes out; ``stored`` volume per pressure; ``warmth`` volume per kelvin;
``decay`` the forward model; ``least_squares`` and ``fit`` the estimate with its errors; ``explain``
which cause the readings favour; ``looks`` the statistics of repeated looks; ``judge`` the verdict;
``usable`` what cannot be judged at all; ``assess`` all of it in order. Of a drained system (a
vacuum, or dry air): ``air_course`` the forward model, ``air_judge`` the verdict, ``air_hold`` all.
"""
