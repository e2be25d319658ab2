"""From the complaint, a few looks and the readings: which causes are likely, why, and what next.

>>> from weeptrace.rules import limits, load
>>> known = from_bundle(load().causes, limits())
>>> found = rank(known, ["drain_plug"], [Observation("weep_hole", "wet")], limits())
>>> found.causes[0].id
'pump_shaft_seal'
"""

from __future__ import annotations

from weeptrace.causes.knowledge import Finding, Knowledge, from_bundle
from weeptrace.causes.observe import Figure, Observation
from weeptrace.causes.rank import Ranking, rank

__all__ = ["Figure", "Finding", "Knowledge", "Observation", "Ranking", "from_bundle", "rank"]
