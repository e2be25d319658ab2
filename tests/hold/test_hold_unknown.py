"""What nobody measured counts as if what is usual had been typed, and only that is assumed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.hold.holds import ML_PER_KPA, readings
from weeptrace.hold.assess import assess
from weeptrace.hold.data import Assessment, Compliance, Hold, Reading
from weeptrace.rules import limits

LIMITS = limits()
SEA = 101325.0  # standard atmosphere
FALL = [(k, 100.0 - 0.4 * k) for k in range(16)]
WARM = (Reading(0.0, 100e3, 330.0), *readings(FALL[1:]))
FILLED = Hold(
    WARM,
    2e3,
    stored=Compliance(ML_PER_KPA),
    atmosphere=84e3,
    mass_fraction=0.3,
    liquid_volume=5e-3,
    wet=False,
)
DRAINED = Hold(
    readings((k, -72.5 + 0.8 * k) for k in range(16)),
    1e3,
    "vacuum",
    atmosphere=84e3,
    mass_fraction=0.3,
    evacuated_volume=5e-3,
    rated=130e3,
    engine_temperature=330.0,
    ambient_temperature=280.0,
    self_leak=100.0,
)
DRY = replace(DRAINED, kind="pressure", medium="air", readings=readings(FALL))
HOLDS = {"filled": FILLED, "vacuum": DRAINED, "dry air": DRY}


def without_names(found: Assessment) -> tuple[Assessment, str]:
    """All but what is told as assumed; of the reason its kind, since its words may name it."""
    return replace(found, assumed=(), reason=None), found.reason.code if found.reason else ""


@pytest.mark.parametrize(
    ("name", "field", "usual", "told"),
    [
        ("filled", "atmosphere", SEA, "altitude"),
        ("filled", "mass_fraction", 0.527, "strength"),
        ("filled", "liquid_volume", 8e-3, "liquid_volume"),
        ("vacuum", "atmosphere", SEA, "altitude"),
        ("vacuum", "mass_fraction", 0.527, "strength"),
        ("vacuum", "rated", 100e3, "rated"),
        ("dry air", "atmosphere", SEA, "altitude"),
        ("dry air", "mass_fraction", 0.527, "strength"),
    ],
)
def test_what_is_usual_counts_where_nobody_measured(
    name: str, field: str, usual: float, told: str
) -> None:
    known: dict[str, Any] = {field: usual}
    none: dict[str, Any] = {field: None}
    typed = assess(replace(HOLDS[name], **known), LIMITS)
    assumed = assess(replace(HOLDS[name], **none), LIMITS)
    assert set(assumed.assumed) - set(typed.assumed) == {told}
    assert without_names(assumed) == without_names(typed)
    # It matters: with what was measured another figure comes out.
    measured = assess(HOLDS[name], LIMITS)
    assert without_names(measured) != without_names(typed)


def test_an_engine_whose_temperature_nobody_knows() -> None:
    """A drained one is taken as still lukewarm, 30 °C; a filled one as the air, or as 20 °C."""
    bare = replace(DRAINED, engine_temperature=None, ambient_temperature=None)
    lukewarm = replace(bare, engine_temperature=303.15)
    one, other = assess(bare, LIMITS), assess(lukewarm, LIMITS)
    assert one.best_vacuum == other.best_vacuum
    assert one.air_flow is not None
    assert other.air_flow is not None
    assert one.air_flow.value == pytest.approx(other.air_flow.value, rel=1e-4)
    cold = replace(FILLED, readings=readings(FALL))
    at_air = replace(cold, ambient_temperature=293.15)
    assert without_names(assess(cold, LIMITS)) == without_names(assess(at_air, LIMITS))
    hot = replace(cold, ambient_temperature=313.15)
    assert without_names(assess(cold, LIMITS)) != without_names(assess(hot, LIMITS))


@pytest.mark.parametrize("name", HOLDS)
@pytest.mark.parametrize("field", ["self_leak", "owner_rate", "planned"])
def test_nothing_typed_is_nothing(name: str, field: str) -> None:
    """A tester that was not tried is tight; no plan is a single look."""
    none: dict[str, Any] = {field: None}
    zero: dict[str, Any] = {field: 0.0}
    if field == "self_leak":
        assert assess(replace(HOLDS[name], **none), LIMITS) == assess(
            replace(HOLDS[name], **zero), LIMITS
        )
    else:
        assert assess(replace(HOLDS[name], **none), LIMITS) == assess(HOLDS[name], LIMITS)


def per_air(hold: Hold) -> tuple[float, float]:
    """Liquid per air, through a hole and through a crack."""
    found = assess(hold, LIMITS)
    assert found.liquid_equivalent is not None
    assert found.air_flow is not None
    pair = found.liquid_equivalent
    return (
        pair.orifice.value / found.air_flow.value,
        pair.laminar.value / found.air_flow.value,
    )


def test_the_air_that_goes_in_is_that_of_the_place_or_of_20_degrees() -> None:
    bare = replace(DRAINED, ambient_temperature=None)
    room = replace(DRAINED, ambient_temperature=293.15)
    assert per_air(bare) == pytest.approx(per_air(room), rel=1e-9)
    # Colder air is denser and goes slower through a hole, by the root of its temperature.
    cold = per_air(replace(DRAINED, ambient_temperature=263.15))
    assert cold[0] / per_air(room)[0] == pytest.approx((293.15 / 263.15) ** 0.5, rel=1e-4)


@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
def test_the_strength_counts_up_to_where_its_viscosity_is_known(glycol: str) -> None:
    """60 % by mass at the most for what comes through the hole; its vapour is of what was typed."""
    kind: dict[str, Any] = {"glycol": glycol}
    at = {share: replace(DRAINED, mass_fraction=share, **kind) for share in (0.59, 0.6, 0.75)}
    assert per_air(at[0.6]) == pytest.approx(per_air(at[0.75]), rel=1e-9)
    assert per_air(at[0.59])[1] > per_air(at[0.6])[1]
    best = {share: assess(hold, LIMITS).best_vacuum for share, hold in at.items()}
    assert best[0.6] != best[0.75]
