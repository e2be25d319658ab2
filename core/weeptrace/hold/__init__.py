"""The hold room: a timed series of pressures, and what it says about a leak.

``data`` what goes in and comes out; ``stored`` volume per pressure; ``warmth`` volume per kelvin;
``decay`` the forward model; ``least_squares`` and ``fit`` the estimate with its errors; ``explain``
which cause the readings favour; ``looks`` the statistics of repeated looks; ``judge`` the verdict;
``assess`` all of it in order.
"""
