"""The classes of a loss for one car: from what happens before somebody looks. SI: m3, m, m3/s."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from weeptrace.finding import Estimate
from weeptrace.hold.data import Verdict
from weeptrace.hold.judge import claimed_class
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Limits = Mapping[str, float]


@dataclass(frozen=True)
class Edge:
    """Where a class ends: loss in m3/m, flow of the running engine in m3/s, drops a second."""

    loss: float
    flow: float
    drops: float


@dataclass(frozen=True)
class Classes:
    """Upper ends of ``tight`` and ``seeping``, the lower end of ``gross``; between: leaking."""

    tight: Edge
    seeping: Edge
    gross: Edge

    def of(self, loss: Estimate, limits: Limits) -> Verdict:
        """The class or the two classes that a loss in m3/m lies in, by ``claimed_class``."""
        ends = {"tight": self.tight, "seeping": self.seeping, "gross": self.gross}
        own = {**limits, **{f"hold.{name}": edge.loss for name, edge in ends.items()}}
        return claimed_class(loss, loss.high, own)


def classes(
    *,
    reserve: float,
    limits: Limits,
    service: float | None = None,
    look: float | None = None,
    trip: float | None = None,
    exposure: float | None = None,
) -> Classes:
    """The ends of the classes of a car's loss.

    ``L = R / d``: the ``reserve`` R above the lower mark in m3 lasts just one distance d in m: the
    ``service`` interval (tight ends), the distance between two of the owner's looks ``look``
    (seeping ends), one long ``trip`` (gross begins). ``Q = L / H`` with the ``exposure`` H in s/m,
    drops = Q over the volume of a drop. The usual distances of ``limits`` ``loss.class_*`` stand
    where none is given.

    Valid for a reserve, distances and an exposure above zero, service > look > trip; ``Refusal``
    (``out_of_range``) otherwise. Source: conservation of volume; the distances are common practice.

    Half a litre: 0.033, 0.30 and 5 L/1000 km.

    >>> from weeptrace.rules import limits
    >>> found = classes(reserve=0.5e-3, limits=limits())
    >>> [round(e.loss * 1e9, 3) for e in (found.tight, found.seeping, found.gross)]
    [0.033, 0.3, 5.0]
    """
    given = {"service": service, "look": look, "trip": trip}
    distances = {
        name: limits[f"loss.class_{name}"] if value is None else value
        for name, value in given.items()
    }
    hours = limits["hold.exposure"] if exposure is None else exposure
    above: list[tuple[str, float, Figure | str]] = [
        ("reserve", reserve, Figure(0.0, "volume")),
        ("exposure", hours, "0 min/1000 km"),
        *((name, value, Figure(0.0, "long_length")) for name, value in distances.items()),
    ]
    for name, value, zero in above:
        if value <= 0.0:
            raise Refusal(
                "out_of_range",
                "refused.classes.above_zero_type_again",
                name,
                "accepted.above_least",
                {"name": name, "least": zero},
            )
    for longer, shorter in (("service", "look"), ("look", "trip")):
        if distances[shorter] >= distances[longer]:
            raise Refusal(
                "out_of_range",
                "refused.classes.trip_shorter_way_between",
                shorter,
                "accepted.below_longer",
                {"longer": Figure(distances[longer], "length"), "shorter": shorter},
            )

    def edge(distance: float) -> Edge:
        loss = reserve / distance
        return Edge(loss, loss / hours, loss / hours / limits["loss.drop_volume"])

    return Classes(*(edge(distances[name]) for name in ("service", "look", "trip")))
