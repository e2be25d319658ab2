"""Price and ceiling of a job from ranges. Time in s, volume in m3; money in the caller's currency.

A range (a, m, b) of low, likely and high counts with the mean ``(a + 4 m + b) / 6`` and the
standard deviation ``(b - a) / 6`` (PERT: Malcolm, Roseboom, Clark and Fazar, Operations Research
7, 1959, from memory). Phases vary together: ``var = sum s_i^2 + 2 r sum_{i<j} s_i s_j``. Prices of
lines vary on their own. The sum is taken as normal; each contingency either happens or not, so that
the whole is a mixture of normals, whose quantiles are found exactly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

from weeptrace.refusal import Refusal

Limits = Mapping[str, float]
Authorised = Literal["covers_ceiling", "covers_median", "too_low", "not_given"]
MOST_CONTINGENCIES = 10  # 2^n mixtures


@dataclass(frozen=True)
class Range:
    """Low, likely and high of a time or a price."""

    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        """``(a + 4 m + b) / 6``.

        >>> Range(30.0, 60.0, 150.0).mean
        70.0
        """
        return (self.low + 4.0 * self.likely + self.high) / 6.0

    @property
    def sd(self) -> float:
        """``(b - a) / 6``.

        >>> Range(30.0, 60.0, 150.0).sd
        20.0
        """
        return (self.high - self.low) / 6.0


@dataclass(frozen=True)
class Phase:
    """A phase of work and its time in s."""

    id: str
    time: Range


@dataclass(frozen=True)
class Line:
    """Something to buy: how many, and the price of one."""

    id: str
    quantity: float
    price: Range


@dataclass(frozen=True)
class Contingency:
    """What may be added: its probability, and then a time in s and a price."""

    id: str
    probability: float
    time: float
    price: float


@dataclass(frozen=True)
class Row:
    """One row of the table: low, mean, high and standard deviation in money."""

    id: str
    low: float
    mean: float
    high: float
    sd: float


@dataclass(frozen=True)
class Quote:
    """Money. ``mean`` and ``sd`` are those of the whole, contingencies by their probability;
    ``may_be_added`` is the price of all contingencies together, at the most.

    ``time``, ``time_sd``: of the phases, s. ``chance``: that the job stays within what was
    authorised.
    """

    median: float
    ceiling: float
    mean: float
    sd: float
    time: float
    time_sd: float
    labour: tuple[Row, ...]
    lines: tuple[Row, ...]
    contingencies: tuple[Row, ...]
    may_be_added: float
    authorised: Authorised
    chance: float | None


def total_sd(deviations: Sequence[float], correlation: float) -> float:
    """``sqrt(sum s_i^2 + 2 r sum_{i<j} s_i s_j)``, from the square of the sum.

    s ``deviations`` in one unit, r ``correlation`` of each pair. Valid for r from 0 to 1. No error
    is raised. Source: variance of a sum.

    >>> total_sd([3.0, 4.0], 0.0), total_sd([3.0, 4.0], 1.0)
    (5.0, 7.0)
    """
    squares = sum(s * s for s in deviations)
    return math.sqrt((1.0 - correlation) * squares + correlation * sum(deviations) ** 2)


def containers(volume: float, size: float) -> int:
    """How many containers of a ``size`` hold a ``volume`` V, both in m3: ``V / size``, rounded up.

    A billionth over a full container is rounding, not another container. Valid for a
    size above zero and a volume not below it; ``Refusal`` (``out_of_range``) otherwise. Source:
    counting.

    >>> containers(5.13e-3, 5e-3), containers(5e-3, 5e-3), containers(0.3, 0.1)
    (2, 1, 3)
    """
    if volume < 0.0 or size <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.estimate.containers_size_above_zero",
            "",
            "accepted.above_zero_volume",
        )
    return math.ceil(volume / size * (1.0 - 1e-9))


def estimate(
    phases: Sequence[Phase],
    rate: float,
    limits: Limits,
    *,
    lines: Sequence[Line] = (),
    contingencies: Sequence[Contingency] = (),
    authorised: float | None = None,
) -> Quote:
    """Price (P50) and ceiling (P80) of a job.

    Parameters
    ----------
    phases: at least one.
    rate: money per hour of labour.
    limits: ``quote.phase_correlation``, ``quote.price_quantile``, ``quote.ceiling_quantile``.
    lines: parts and fluids.
    contingencies: at most ten; each adds ``rate x time + price`` with its probability.
    authorised: the most that the customer agreed to, if known.

    The quantile q of the mixture solves ``sum_k w_k Phi((q - mu_k) / s) = P`` over all subsets k of
    the contingencies. Valid for 0 <= low <= likely <= high, probabilities 0 to 1; ``Refusal``
    (``out_of_range``, ``missing``, ``duplicate_id``) otherwise. Source: module's head.

    Two hours at 60 an hour, give or take half an hour (1 sd = 10 min), and a part for 80.

    >>> from weeptrace.rules import limits
    >>> work = Phase("radiator", Range(5400.0, 7200.0, 9000.0))
    >>> q = estimate([work], 60.0, limits(), lines=[Line("hose", 1.0, Range(80.0, 80.0, 80.0))])
    >>> round(q.median, 2), round(q.sd, 2), round(q.ceiling, 2)
    (200.0, 10.0, 208.42)
    """
    _refuse_impossible(phases, rate, lines, contingencies, authorised)
    per_second = rate / 3600.0
    deviations = [phase.time.sd for phase in phases]
    time_sd = total_sd(deviations, limits["quote.phase_correlation"])
    labour = tuple(_row(phase.id, phase.time, per_second) for phase in phases)
    bought = tuple(_row(line.id, line.price, line.quantity) for line in lines)
    extra = [c.time * per_second + c.price for c in contingencies]
    chances = [c.probability for c in contingencies]
    mean = math.fsum(row.mean for row in (*labour, *bought))
    sd = math.hypot(time_sd * per_second, *(row.sd for row in bought))
    mixture = _mixture(mean, extra, chances)
    found_mean = mean + math.fsum(p * x for p, x in zip(chances, extra, strict=True))
    spread = math.fsum(p * (1.0 - p) * x * x for p, x in zip(chances, extra, strict=True))
    median = _quantile(limits["quote.price_quantile"], mixture, sd)
    ceiling = _quantile(limits["quote.ceiling_quantile"], mixture, sd)
    return Quote(
        median=median,
        ceiling=ceiling,
        mean=found_mean,
        sd=math.sqrt(sd * sd + spread),
        time=math.fsum(phase.time.mean for phase in phases),
        time_sd=time_sd,
        labour=labour,
        lines=bought,
        contingencies=tuple(
            Row(c.id, 0.0, c.probability * x, x, x * math.sqrt(c.probability * (1 - c.probability)))
            for c, x in zip(contingencies, extra, strict=True)
        ),
        may_be_added=math.fsum(extra),
        authorised=_covers(authorised, median, ceiling),
        chance=None if authorised is None else _below(authorised, mixture, sd),
    )


def _row(id: str, spread: Range, factor: float) -> Row:
    return Row(
        id, spread.low * factor, spread.mean * factor, spread.high * factor, spread.sd * factor
    )


def _mixture(
    mean: float, extra: Sequence[float], chances: Sequence[float]
) -> list[tuple[float, float]]:
    """Weight and mean of every subset of contingencies; one that can't happen weighs nothing."""
    parts = [(1.0, mean)]
    for amount, chance in zip(extra, chances, strict=True):
        with_it = [(w * chance, m + amount) for w, m in parts]
        parts = [(w * (1.0 - chance), m) for w, m in parts] + with_it
    return parts


def _below(amount: float, mixture: Sequence[tuple[float, float]], sd: float) -> float:
    """Probability that the job costs no more than an amount."""
    if sd == 0.0:
        return math.fsum(w for w, m in mixture if m <= amount * (1.0 + 1e-12))
    return math.fsum(w * 0.5 * math.erfc((m - amount) / (sd * math.sqrt(2.0))) for w, m in mixture)


def _quantile(share: float, mixture: Sequence[tuple[float, float]], sd: float) -> float:
    """The amount that the job stays below with probability ``share``, by bisection."""
    means = [m for _, m in mixture]
    if sd == 0.0:
        return next(m for m in sorted(means) if _below(m, mixture, sd) >= share - 1e-12)
    reach = NormalDist().inv_cdf(share) * sd
    low, high = min(means) + reach, max(means) + reach
    while high - low > 1e-12 * max(abs(low), abs(high)):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        if _below(middle, mixture, sd) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _covers(authorised: float | None, median: float, ceiling: float) -> Authorised:
    if authorised is None:
        return "not_given"
    slack = 1.0 + 1e-9
    if ceiling <= authorised * slack:
        return "covers_ceiling"
    return "covers_median" if median <= authorised * slack else "too_low"


def _refuse_impossible(
    phases: Sequence[Phase],
    rate: float,
    lines: Sequence[Line],
    contingencies: Sequence[Contingency],
    authorised: float | None,
) -> None:
    if not phases:
        raise Refusal(
            "missing", "refused.estimate.quote_needs_at_least", "phases", "accepted.one_or_more"
        )
    for path, value in (("rate", rate), ("authorised", authorised or 0.0)):
        _not_negative(value, path)
    for kind, names in (
        ("phases", [phase.id for phase in phases]),
        ("lines", [line.id for line in lines]),
        ("contingencies", [extra.id for extra in contingencies]),
    ):
        for index, name in enumerate(names):
            if name in names[:index]:
                raise Refusal(
                    "duplicate_id",
                    "refused.estimate.stands_twice_give_each",
                    f"{kind}[{index}].id",
                    "accepted.name_its_own",
                    {"name": name[:40]},
                )
    for index, phase in enumerate(phases):
        _rising(phase.time, f"phases[{index}]")
    for index, line in enumerate(lines):
        _rising(line.price, f"lines[{index}].price")
        _not_negative(line.quantity, f"lines[{index}].quantity")
    if len(contingencies) > MOST_CONTINGENCIES:
        raise Refusal(
            "too_many",
            "refused.estimate.too_many_contingencies_keep",
            "contingencies",
            "accepted.most_contingencies",
            {"most_contingencies": MOST_CONTINGENCIES},
        )
    for index, extra in enumerate(contingencies):
        path = f"contingencies[{index}]"
        if not 0.0 <= extra.probability <= 1.0:
            raise Refusal(
                "out_of_range",
                "refused.estimate.probability_lies_between",
                f"{path}.probability",
                "accepted.probability",
            )
        _not_negative(extra.time, f"{path}.time")
        _not_negative(extra.price, f"{path}.price")


def _rising(spread: Range, path: str) -> None:
    if not 0.0 <= spread.low <= spread.likely <= spread.high:
        raise Refusal(
            "out_of_range",
            "refused.estimate.low_likely_high_rise",
            path,
            "accepted.low_likely_high",
        )


def _not_negative(value: float, path: str) -> None:
    if value < 0.0:
        raise Refusal(
            "out_of_range", "refused.estimate.cant_below_zero_type", path, "accepted.zero_or_more"
        )
