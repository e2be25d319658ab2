"""What a vacuum fill takes up, and the air that it leaves. SI: m3, Pa absolute, K, m."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from weeptrace.properties import air
from weeptrace.properties.boiling import vapour_pressure
from weeptrace.properties.density import density_inhibited
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.refusal import Refusal
from weeptrace.told import Figure

Judgement = Literal["as_expected", "air_left", "volume_differs", "flow_stopped"]
LookAt = Literal[
    "pinched_hose",
    "closed_valve",
    "heater_valve",
    "rear_heater",
    "needle",
    "capacity_figure",
    "missing_before",
]
# Where to look after each judgement, first things first; common practice.
LOOK_AT: Final[dict[Judgement, tuple[LookAt, ...]]] = {
    "as_expected": (),
    "air_left": ("needle", "heater_valve", "rear_heater"),
    "flow_stopped": ("pinched_hose", "closed_valve"),
    "volume_differs": ("capacity_figure", "missing_before"),
}
_GRAVITY: Final = 9.80665  # m/s2


@dataclass(frozen=True)
class Vacuum:
    """An evacuated system before the valve opens: Pa absolute, kg/m3.

    ``residual``: pressure left; ``vapour``: of the coolant; ``end``: where the flow stops, the
    atmosphere less the lift; ``outside``: the atmosphere; ``density``: of the coolant.
    """

    residual: float
    vapour: float
    end: float
    outside: float
    density: float

    def uptake(self, volume: float, end: float | None = None, flattened: float = 0.0) -> float:
        """``U = V [1 - (1 - k) (p_res - p_v) / (p_end - p_v)]`` in m3; k ``flattened`` share.

        Valid for p_v < p_res < p_end. Source: ideal gas; vapour condenses, dry air stays.

        >>> round(Vacuum(10e3, 2e3, 82e3, 82e3, 1000.0).uptake(5.0), 2)
        4.5
        """
        stop = self.end if end is None else end
        dry = (self.residual - self.vapour) / (stop - self.vapour)
        return volume * (1.0 - (1.0 - flattened) * dry)


@dataclass(frozen=True)
class Uptake:
    """Volumes in m3 with low and high; ``container``: what must stand ready in one container.

    ``vacuum_volume``: low and high of the room while hoses are pulled flat. ``highest_lift``: m, at
    which nothing more is lifted. ``still_to_come``: m3, set where a vacuum is left after the flow
    stopped. ``look_at``: where to look, first things first.
    """

    uptake: float
    low: float
    high: float
    air_left: float
    container: float
    vacuum_volume: tuple[float, float]
    highest_lift: float
    judgement: Judgement | None
    still_to_come: float | None
    look_at: tuple[LookAt, ...]


def uptake(
    *,
    volume: float,
    residual_pressure: float,
    altitude: float,
    temperature: float,
    limits: Mapping[str, float],
    strength: float | None = None,
    lift: float = 0.0,
    measured: float | None = None,
    pressure_after: float | None = None,
) -> Uptake:
    """Volume that a vacuum fill draws in.

    ``U = Ve [1 - (p_res - p_v) / (Pa - rho g h - p_v)]``: Ve evacuated ``volume`` m3 at atmospheric
    pressure, p_res ``residual_pressure`` Pa absolute, p_v vapour pressure of the coolant at
    ``temperature`` K, Pa standard atmosphere at the ``altitude`` m, h ``lift`` of the neck above
    the jug's surface in m. Vapour condenses; only dry air stays. Air left = Ve - U at atmospheric
    pressure. Hoses pulled flat hold less air and spring back, so ``high`` counts the dry air of
    ``fill.flattened_high`` less room; the balance still closes on Ve. Where the ``strength`` is not
    known, ``low`` and ``high`` span water to the highest strength. The coolant in the jug is
    ethylene glycol and water.

    ``measured`` over U is judged by ``limits``. ``pressure_after`` Pa absolute, inside once the
    flow stopped: a vacuum left, more than ``fill.vacuum_left``, means that the flow was stopped by
    a pinched hose or a closed valve, not by air.

    Valid for p_v < p_res < Pa - rho g h and -2 m <= h; ``Refusal`` otherwise (below p_v the coolant
    boils). Source: ideal gas and hydrostatics; the container's reserve is common practice.

    >>> from weeptrace.rules import limits
    >>> u = uptake(volume=5.6e-3, residual_pressure=8e3, altitude=1900.0, temperature=288.15,
    ...     limits=limits(), strength=0.5)
    >>> round(1e3 * u.uptake, 2), round(1e3 * u.air_left, 2), round(1e3 * u.container, 1)
    (5.13, 0.47, 6.9)
    """
    if volume <= 0.0:
        raise Refusal(
            "out_of_range",
            "refused.uptake.volume_above_zero",
            "volume",
            "accepted.above_zero_volume",
        )
    if measured is not None and measured < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.uptake.measured_uptake_negative",
            "measured",
            "accepted.above_zero_volume",
        )
    if measured is not None and measured > limits["fill.uptake_possible"] * volume:
        raise Refusal(
            "out_of_range",
            "refused.uptake.taken_up_does_not",
            "measured",
            "accepted.up_to_most",
            {
                "measured": Figure(measured, "volume"),
                "room": Figure(volume, "volume"),
                "most": Figure(limits["fill.uptake_possible"] * volume, "volume"),
            },
        )
    centre = limits["fill.usual_strength"] if strength is None else strength
    ends = (0.0, limits["fill.highest_strength"]) if strength is None else (centre,)
    known = [
        evacuated(residual_pressure, altitude, temperature, c, lift, limits)
        for c in (*ends, centre)
    ]
    usual = known[-1]
    expected = usual.uptake(volume)
    stopped = _vacuum_left(usual, pressure_after, limits)
    judgement: Judgement | None = None
    if stopped:
        judgement = "flow_stopped"
    elif measured is not None:
        judgement = _judge(measured / expected, limits)
    look_at: tuple[LookAt, ...] = () if judgement is None else LOOK_AT[judgement]
    least, most = limits["fill.flattened_low"], limits["fill.flattened_high"]
    return Uptake(
        uptake=expected,
        low=min(vacuum.uptake(volume) for vacuum in known),
        high=max(vacuum.uptake(volume, flattened=most) for vacuum in known),
        air_left=volume - expected,
        container=container(expected, limits),
        vacuum_volume=(volume * (1.0 - most), volume * (1.0 - least)),
        highest_lift=(usual.outside - residual_pressure) / (usual.density * _GRAVITY),
        judgement=judgement,
        still_to_come=max(expected - measured, 0.0) if stopped and measured is not None else None,
        look_at=tuple(p for p in look_at if p != "needle" or pressure_after is None),
    )


def container(uptake: float, limits: Mapping[str, float]) -> float:
    """What must stand ready in one container, m3: ``1.15 U + 1 L``.

    U ``uptake`` in m3; ``limits``: ``fill.container_factor``, ``fill.container_reserve``. Valid for
    U >= 0. No error is raised. Source: common practice.

    >>> from weeptrace.rules import limits
    >>> round(1e3 * container(5.13e-3, limits()), 2)
    6.9
    """
    return limits["fill.container_factor"] * uptake + limits["fill.container_reserve"]


def evacuated(
    residual_pressure: float,
    altitude: float,
    temperature: float,
    strength: float,
    lift: float,
    limits: Mapping[str, float],
) -> Vacuum:
    """The pressures of an evacuated system, Pa absolute; refused where they are impossible.

    ``p_end = Pa(altitude) - rho g h``: ``residual_pressure`` Pa absolute, ``altitude`` m,
    ``temperature`` K, ``strength`` by volume, h ``lift`` m; ``limits``: ``fill.lowest_lift``.

    Valid for p_v < p_res < p_end; ``Refusal`` (``out_of_range``) otherwise. Source: hydrostatics;
    ISO 2533; Raoult's law (see ``properties``).

    >>> from weeptrace.rules import limits
    >>> v = evacuated(8e3, 1900.0, 288.15, 0.5, 0.5, limits())
    >>> round(v.vapour), round(v.outside - v.end)
    (1290, 5281)
    """
    if lift < limits["fill.lowest_lift"]:
        lowest = limits["fill.lowest_lift"]
        raise Refusal(
            "out_of_range",
            "refused.uptake.jug_too_high",
            "lift",
            "accepted.not_below_length",
            {"most": Figure(-lowest, "length"), "lowest": Figure(lowest, "length")},
        )
    w = mass_from_volume("ethylene", strength)
    outside = air.pressure(altitude)
    vapour = vapour_pressure("ethylene", w, max(temperature, 273.15))
    density = density_inhibited("ethylene", w, temperature)
    end = outside - density * _GRAVITY * lift
    if residual_pressure < 0.0:
        raise Refusal(
            "out_of_range",
            "refused.uptake.deeper_empty_atmosphere_no",
            "residual_pressure",
            "accepted.absolute",
            {
                "outside": Figure(outside, "pressure"),
                "vapour": Figure(vapour, "pressure"),
                "end": Figure(end, "pressure"),
            },
        )
    if residual_pressure <= vapour:
        raise Refusal(
            "out_of_range",
            "refused.uptake.residual_absolute_below_coolants",
            "residual_pressure",
            "accepted.above_vapour",
            {
                "residual": Figure(residual_pressure, "pressure"),
                "vapour": Figure(vapour, "pressure"),
            },
        )
    if residual_pressure >= end:
        raise Refusal(
            "out_of_range",
            "refused.uptake.residual_absolute_leaves_no",
            "residual_pressure",
            "accepted.below_absolute",
            {"residual": Figure(residual_pressure, "pressure"), "end": Figure(end, "pressure")},
        )
    return Vacuum(residual_pressure, vapour, end, outside, density)


def _vacuum_left(vacuum: Vacuum, after: float | None, limits: Mapping[str, float]) -> bool:
    if after is None:
        return False
    most = max(vacuum.outside, vacuum.end)  # a jug above the neck presses
    if not vacuum.residual - 1e-6 <= after <= most + limits["fill.vacuum_left"]:
        raise Refusal(
            "out_of_range",
            "refused.uptake.after_the_flow",
            "pressure_after",
            "accepted.residual_to_most",
            {"residual": Figure(vacuum.residual, "pressure"), "most": Figure(most, "pressure")},
        )
    return vacuum.end - after > limits["fill.vacuum_left"] + 1e-6


def _judge(share: float, limits: Mapping[str, float]) -> Judgement:
    if share < limits["fill.uptake_low"] - 1e-9:
        return "air_left"
    if share > limits["fill.uptake_high"] + 1e-9:
        return "volume_differs"
    return "as_expected"
