"""What to pour so that a coolant ends at its target strength. SI: m3; strengths are volume shares.

A strength is the glycol share of the unmixed volumes (see ``properties.fraction``), so volumes add:
the real mixture is up to 1 % smaller, less than any jug is read to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from weeptrace.properties.fraction import Glycol, mass_from_volume
from weeptrace.properties.freeze import INHIBITED_LIMIT, freeze_point_inhibited
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Kind = Literal["concentrate", "premix", "water"]
Advice = Literal["below_lowest_strength", "above_highest_strength"]
_STRENGTH: Final[dict[Kind, float]] = {"concentrate": 1.0, "water": 0.0}
# Which kinds a plan tries together, best first.
_ORDER: Final[tuple[frozenset[Kind], ...]] = (
    frozenset({"concentrate", "water"}),
    frozenset({"premix", "concentrate"}),
    frozenset({"premix", "water"}),
    frozenset({"concentrate", "premix", "water"}),
)
_EXACT: Final = 1e-9


@dataclass(frozen=True)
class AtHand:
    """A fluid at hand: its strength (0..1) and its volume in m3, ``None`` where there is enough."""

    kind: Kind
    strength: float
    volume: float | None = None


@dataclass(frozen=True)
class Amount:
    """Pour this much, m3, of this fluid."""

    fluid: AtHand
    volume: float


@dataclass(frozen=True)
class Plan:
    """What to pour, and how it ends.

    Attributes
    ----------
    fill_volume: what the car takes, m3.
    fill_strength: strength the fill must have for the target; may lie outside 0..1; ``None`` where
        nothing is to be filled.
    amounts: what to pour of each fluid, m3.
    result: strength after filling.
    freeze_point: K, inhibited coolant of that strength; ``None`` beyond the tables.
    reachable: the result meets the target, and there is enough to fill up.
    short: m3 that all fluids together lack to fill up.
    draw_off_first: m3 to draw off before, so that the target is reached; ``None`` where not needed
        or where it would not help.
    premix_alone: strength after filling with the premix at hand alone, if there is one.
    warnings: ``below_lowest_strength`` or ``above_highest_strength``, of the result.
    """

    fill_volume: float
    fill_strength: float | None
    amounts: tuple[Amount, ...]
    result: float
    freeze_point: float | None
    reachable: bool
    short: float
    draw_off_first: float | None
    premix_alone: float | None
    warnings: tuple[Advice, ...]


def at_hand(
    kind: Kind, strength: float | None = None, volume: float | None = None, path: str = "at_hand"
) -> AtHand:
    """A fluid at hand; concentrate is 1 and water 0 unless said, a premix must say its strength.

    ``strength`` by volume, ``volume`` in m3. ``Refusal`` (``missing``) otherwise.

    >>> at_hand("premix", 0.5)
    AtHand(kind='premix', strength=0.5, volume=None)
    """
    if strength is None and kind == "premix":
        raise Refusal(
            "missing",
            "refused.mix.premix_needs_its_strength",
            f"{path}.strength",
            "accepted.percent",
        )
    return AtHand(kind, _STRENGTH[kind] if strength is None else strength, volume)


def plan(
    *,
    capacity: float,
    drained: float,
    residual_strength: float,
    target: float,
    glycol: Glycol,
    at_hand: Sequence[AtHand],
    limits: Mapping[str, float],
    missing_before: float = 0.0,
) -> Plan:
    """Plan a fill that ends at a target strength.

    ``Vr = V - Vd - Vm`` stays in the car at strength cr; ``Vf = V - Vr`` is filled at ``cf = (ct V
    - cr Vr) / Vf``: V ``capacity``, Vd ``drained``, Vm ``missing_before``, all m3; cr
    ``residual_strength``, ct ``target``, by volume, 0..1; ``at_hand`` the fluids.

    Which fluids: concentrate with water where those reach cf, for premix is not to be diluted; else
    premix with concentrate; else premix with water; else all three. Within a set the weakest-first
    and the strongest-first fill are blended to meet cf. Out of reach, the nearest is planned, with
    what to draw off first.

    Valid for strengths 0..1 and a target up to ``fill.highest_strength``. ``Refusal``: more out
    than the car holds, strengths outside 0..1, a target above the limit, nothing at hand.
    Source: conservation of volume; the order is common practice.

    >>> from weeptrace.rules import limits
    >>> fluids = [AtHand("concentrate", 1.0), AtHand("water", 0.0)]
    >>> p = plan(capacity=7.6e-3, drained=4.3e-3, residual_strength=0.35, target=0.5,
    ...     glycol="ethylene", at_hand=fluids, limits=limits())
    >>> [round(1e6 * a.volume) for a in p.amounts], round(p.result, 3)
    ([2645, 1655], 0.5)
    """
    _check(capacity, drained, missing_before, residual_strength, target, at_hand, limits)
    residual = max(capacity - drained - missing_before, 0.0)
    volume = capacity - residual
    needed = (target * capacity - residual_strength * residual) / volume if volume else None
    amounts = _choose(at_hand, volume, needed) if needed is not None else ()
    poured = sum(a.volume for a in amounts)
    glycol_in = sum(a.volume * a.fluid.strength for a in amounts)
    result = (residual_strength * residual + glycol_in) / (residual + poured)
    short = max(volume - poured, 0.0)
    reached = abs(result - target) <= limits["fill.strength_tolerance"] + _EXACT
    reachable = reached and short <= _EXACT * capacity
    return Plan(
        fill_volume=volume,
        fill_strength=needed,
        amounts=amounts,
        result=result,
        freeze_point=_freeze_point(glycol, result),
        reachable=reachable,
        short=short,
        draw_off_first=None
        if reachable
        else _draw_off(capacity, residual, residual_strength, target, at_hand),
        premix_alone=_premix_alone(capacity, residual, residual_strength, volume, at_hand),
        warnings=_warnings(result, limits),
    )


def _choose(fluids: Sequence[AtHand], volume: float, strength: float) -> tuple[Amount, ...]:
    """Amounts from the first set of kinds that reaches the strength, else the nearest of all."""
    for kinds in _ORDER:
        some = [f for f in fluids if f.kind in kinds]
        weak, strong = _fill(some, volume, False), _fill(some, volume, True)
        full = abs(sum(weak.values()) - volume) <= _EXACT * volume
        low, high = _share(some, weak), _share(some, strong)
        if full and low - _EXACT <= strength <= high + _EXACT:
            break
    blend = 0.0 if high - low < _EXACT else min(max((strength - low) / (high - low), 0.0), 1.0)
    volumes = [(f, (1.0 - blend) * weak[i] + blend * strong[i]) for i, f in enumerate(some)]
    return tuple(Amount(f, v) for f, v in volumes if v > _EXACT * volume)


def _fill(fluids: Sequence[AtHand], volume: float, strongest: bool) -> dict[int, float]:
    """Volumes by index when the weakest, or the strongest, is poured first."""
    order = sorted(range(len(fluids)), key=lambda i: fluids[i].strength, reverse=strongest)
    poured = dict.fromkeys(order, 0.0)
    for i in order:
        left = volume - sum(poured.values())
        held = fluids[i].volume
        poured[i] = left if held is None else min(left, held)
    return poured


def _share(fluids: Sequence[AtHand], poured: Mapping[int, float]) -> float:
    total = sum(poured.values())
    return sum(v * fluids[i].strength for i, v in poured.items()) / total if total else 0.0


def _draw_off(
    capacity: float, residual: float, strength: float, target: float, fluids: Sequence[AtHand]
) -> float | None:
    """Volume to draw off first: ``x = (ct V - cr Vr - s Vf) / (s - cr)`` with the best fluid s."""
    enough = [f.strength for f in fluids if f.volume is None or f.volume >= capacity - residual]
    if not enough:
        return None
    best = max(enough) if target > strength else min(enough)
    if abs(best - strength) < _EXACT:
        return None
    wanted = target * capacity - strength * residual - best * (capacity - residual)
    more = wanted / (best - strength)
    held = max(f.volume or capacity for f in fluids if f.strength == best)
    return more if 0.0 < more <= residual and more + capacity - residual <= held else None


def _premix_alone(
    capacity: float, residual: float, strength: float, volume: float, fluids: Sequence[AtHand]
) -> float | None:
    premix = next((f for f in fluids if f.kind == "premix"), None)
    if premix is None or (premix.volume is not None and premix.volume < volume):
        return None
    return (strength * residual + premix.strength * volume) / capacity


def _freeze_point(glycol: Glycol, strength: float) -> float | None:
    mass = mass_from_volume(glycol, strength)
    return freeze_point_inhibited(glycol, mass) if mass <= INHIBITED_LIMIT else None


def _warnings(result: float, limits: Mapping[str, float]) -> tuple[Advice, ...]:
    if result < limits["fill.lowest_strength"] - _EXACT:
        return ("below_lowest_strength",)
    if result > limits["fill.highest_strength"] + _EXACT:
        return ("above_highest_strength",)
    return ()


def _check(
    capacity: float,
    drained: float,
    missing: float,
    residual_strength: float,
    target: float,
    fluids: Sequence[AtHand],
    limits: Mapping[str, float],
) -> None:
    if capacity <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.mix.capacity_above_zero",
            "capacity",
            "accepted.above_zero_volume",
        )
    if drained < 0.0 or missing < 0.0 or drained + missing > capacity * (1.0 + _EXACT):
        raise Refusal(
            "out_of_range",
            "refused.mix.drained_missing_lie_between",
            "drained",
            "accepted.up_to_capacity",
            {
                "drained": Figure(drained, "volume"),
                "missing": Figure(missing, "volume"),
                "capacity": Figure(capacity, "volume"),
            },
        )
    strengths = [("residual_strength", residual_strength), ("target", target)]
    strengths += [(f"at_hand[{i}].strength", f.strength) for i, f in enumerate(fluids)]
    for path, strength in strengths:
        if not 0.0 <= strength <= 1.0:
            raise Refusal(
                "out_of_range",
                "refused.mix.strength_not_between",
                path,
                "accepted.percent",
                {"strength": Figure(strength, "ratio")},
            )
    highest = limits["fill.highest_strength"]
    if target > highest + _EXACT:
        raise Refusal(
            "out_of_range",
            "refused.mix.target_too_strong_above",
            "target",
            "accepted.strength_up_to",
            {
                "target": Figure(target, "ratio"),
                "highest": Figure(highest, "ratio"),
                "value": 100 * highest,
            },
        )
    if not fluids:
        raise Refusal("missing", "refused.mix.name_at_least_one", "at_hand", "accepted.one_more")
    if all(fluid.volume == 0.0 for fluid in fluids):
        raise Refusal(
            "out_of_range",
            "refused.mix.all_containers_at_hand",
            "at_hand",
            "accepted.above_zero_volume",
        )
    for i, fluid in enumerate(fluids):
        if fluid.volume is not None and fluid.volume < 0.0:
            raise Refusal(
                "out_of_range",
                "refused.mix.volume_negative",
                f"at_hand[{i}].volume",
                "accepted.not_below",
            )
