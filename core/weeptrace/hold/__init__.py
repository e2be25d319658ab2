"""The hold room: a timed series of pressures, and what it says about a leak.

``data`` what goes in and comes out; ``stored`` volume per pressure; ``warmth`` volume per kelvin;
``decay`` the forward model, integrated by ``march``; ``priors``, ``least_squares`` and ``fit`` the
estimate with its errors; ``explain`` which cause the readings favour; ``looks`` the statistics of
repeated looks; ``judge`` the verdict; ``usable`` what cannot be judged at all; ``held`` what is
known of a hold, ``liquid_hold`` of a filled system; ``assess`` all of it in order. Where a drained
one (a vacuum, or dry air) differs: ``air_decay``, ``air_explain``, ``air_judge``, ``air_hold``.
"""
