"""The mix against figures computed by hand from the formula, and against conservation of glycol."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeptrace.fill.mix import AtHand, Plan, at_hand, plan
from weeptrace.properties.fraction import mass_from_volume
from weeptrace.properties.freeze import freeze_point_inhibited
from weeptrace.refusal import Refusal
from weeptrace.rules import limits

CONCENTRATE, WATER = at_hand("concentrate"), at_hand("water")
PREMIX = at_hand("premix", 0.5)
LITRE = 1e-3


def _plan(
    capacity: float, drained: float, residual: float, target: float, fluids: list[AtHand]
) -> Plan:
    return plan(
        capacity=capacity * LITRE,
        drained=drained * LITRE,
        residual_strength=residual,
        target=target,
        glycol="ethylene",
        at_hand=fluids,
        limits=limits(),
    )


def _litres(found: Plan) -> dict[str, float]:
    return {a.fluid.kind: a.volume / LITRE for a in found.amounts}


def test_concentrate_and_water() -> None:
    """7.6 L, out 4.3, residual 35 %, target 50 %: fill at 61.5 %, 2.65 L and 1.65 L (by hand)."""
    found = _plan(7.6, 4.3, 0.35, 0.50, [CONCENTRATE, WATER, PREMIX])
    assert found.fill_strength == pytest.approx(0.615, abs=5e-4)
    assert _litres(found) == pytest.approx({"concentrate": 2.65, "water": 1.65}, abs=0.006)
    assert found.reachable
    assert found.draw_off_first is None
    assert found.premix_alone == pytest.approx(0.435, abs=5e-4)
    expected = freeze_point_inhibited("ethylene", mass_from_volume("ethylene", 0.5))
    assert found.freeze_point == pytest.approx(expected)


def test_premix_is_thinned_with_water() -> None:
    """7.6 L at 35 %, all of it drained, to 30 %: 0.6 of half-and-half and 0.4 of water."""
    found = _plan(7.6, 7.6, 0.35, 0.30, [PREMIX, WATER])
    litres = _litres(found)
    assert litres["premix"] == pytest.approx(0.6 * 7.6, rel=0.01)
    assert litres["water"] == pytest.approx(0.4 * 7.6, rel=0.01)


def test_premix_alone_falls_short() -> None:
    """The same car with premix only ends at 43.5 % (by hand)."""
    found = _plan(7.6, 4.3, 0.35, 0.50, [PREMIX])
    assert found.result == pytest.approx(0.435, abs=5e-4)
    assert not found.reachable
    # drawing off the whole rest is what it takes for 50 % with 50 % premix
    assert found.draw_off_first == pytest.approx(3.3 * LITRE)


def test_too_strong() -> None:
    """24 L, residual 11 L at 72 %, out 13 L: fill 31.4 %; premix would end at 60 % (by hand)."""
    found = _plan(24.0, 13.0, 0.72, 0.50, [CONCENTRATE, WATER, PREMIX])
    assert found.fill_strength == pytest.approx(0.314, abs=5e-4)
    assert found.premix_alone == pytest.approx(0.60, abs=1e-3)
    assert found.reachable


def test_after_water_rinses() -> None:
    """24 L, residual 11 L at 15.1 %, out 13 L: 79.5 % = 10.3 L + 2.7 L; premix 34 % (by hand)."""
    found = _plan(24.0, 13.0, 0.151, 0.50, [CONCENTRATE, WATER, PREMIX])
    assert found.fill_strength == pytest.approx(0.795, abs=1e-3)
    assert _litres(found) == pytest.approx({"concentrate": 10.3, "water": 2.7}, abs=0.05)
    assert found.premix_alone == pytest.approx(0.34, abs=1e-3)


def test_premix_on_the_residual() -> None:
    """7.6 L, residual 2.0 L at 42 %, 5.6 L premix 50 %: 47.9 % (by hand)."""
    found = plan(
        capacity=7.6e-3,
        drained=5.1e-3,
        missing_before=0.5e-3,
        residual_strength=0.42,
        target=0.5,
        glycol="ethylene",
        at_hand=[PREMIX],
        limits=limits(),
    )
    assert found.fill_volume == pytest.approx(5.6e-3)
    assert found.result == pytest.approx(0.479, abs=5e-4)


def test_premix_is_not_diluted_when_concentrate_and_water_do() -> None:
    assert "premix" not in _litres(_plan(8.0, 5.0, 0.3, 0.45, [PREMIX, WATER, CONCENTRATE]))


def test_premix_is_strengthened_when_there_is_no_water() -> None:
    found = _plan(7.6, 4.3, 0.35, 0.50, [PREMIX, CONCENTRATE])
    assert set(_litres(found)) == {"premix", "concentrate"}
    assert found.reachable


def test_premix_is_diluted_only_where_nothing_else_reaches() -> None:
    found = _plan(7.6, 4.3, 0.60, 0.50, [PREMIX, WATER])
    assert set(_litres(found)) == {"premix", "water"}
    assert found.reachable


def test_too_little_concentrate_is_helped_by_premix() -> None:
    found = _plan(7.6, 4.3, 0.35, 0.50, [AtHand("concentrate", 1.0, 1.5e-3), WATER, PREMIX])
    assert found.reachable
    assert found.result == pytest.approx(0.5)
    assert _litres(found)["concentrate"] <= 1.5 + 1e-9


def test_not_enough_to_fill_up() -> None:
    found = _plan(7.6, 4.3, 0.35, 0.50, [AtHand("premix", 0.5, 2e-3)])
    assert found.short == pytest.approx(2.3e-3)
    assert not found.reachable
    assert found.result == pytest.approx((0.35 * 3.3 + 0.5 * 2.0) / 5.3)


def test_draw_off_makes_the_target_reachable() -> None:
    """10 L, out 2, residual 20 %, target 50 %: cf = 170 %; more must come out first."""
    found = _plan(10.0, 2.0, 0.20, 0.50, [CONCENTRATE, WATER])
    assert found.fill_strength == pytest.approx(1.7)
    assert not found.reachable
    assert found.draw_off_first is not None
    again = _plan(10.0, 2.0 + found.draw_off_first / LITRE, 0.20, 0.50, [CONCENTRATE, WATER])
    assert again.reachable
    assert again.fill_strength == pytest.approx(1.0)


def test_too_strong_is_drawn_off_for_water() -> None:
    """9 L of 60 % stay; 8.333 L of it are the 5 L of glycol wanted, so 0.667 L go (by hand)."""
    found = _plan(10.0, 1.0, 0.60, 0.50, [CONCENTRATE, WATER])
    assert found.draw_off_first == pytest.approx((9.0 - 5.0 / 0.6) * LITRE)


@pytest.mark.parametrize(("held", "helps"), [(3.74, False), (3.76, True), (None, True)])
def test_drawing_off_helps_only_where_there_is_enough_to_pour(
    held: float | None, helps: bool
) -> None:
    """8 L of 20 % stay: (8 - x) 0.2 + 2 + x = 5 at x = 1.75 L, for 3.75 L of concentrate."""
    some = at_hand("concentrate", volume=None if held is None else held * LITRE)
    found = _plan(10.0, 2.0, 0.20, 0.50, [some, WATER])
    assert found.draw_off_first == (pytest.approx(1.75 * LITRE) if helps else None)


def test_drawing_off_all_does_not_make_60_of_50_percent() -> None:
    plenty = at_hand("premix", 0.5, 20.0 * LITRE)
    assert _plan(10.0, 2.0, 0.20, 0.60, [plenty]).draw_off_first is None


def test_where_too_much_was_drawn_already_no_more_is() -> None:
    """5 L of 20 % and 5 L of concentrate are 60 %: less out, not more, would make 30 %."""
    found = _plan(10.0, 5.0, 0.20, 0.30, [CONCENTRATE])
    assert found.result == pytest.approx(0.6)
    assert found.draw_off_first is None


def test_nothing_drained_yet() -> None:
    found = _plan(10.0, 0.0, 0.70, 0.50, [WATER])
    assert found.fill_strength is None
    assert found.result == pytest.approx(0.70)
    assert found.warnings == ("above_highest_strength",)
    assert found.draw_off_first == pytest.approx(10.0 * LITRE * 0.2 / 0.7)


@pytest.mark.parametrize(
    ("target", "accepted"), [(0.6499, True), (0.65, True), (0.6501, False)], ids=str
)
def test_highest_strength(target: float, accepted: bool) -> None:
    """Limit fill.highest_strength, 65 %, common practice."""
    if accepted:
        assert _plan(8.0, 8.0, 0.0, target, [CONCENTRATE, WATER]).reachable
        return
    with pytest.raises(Refusal) as refused:
        _plan(8.0, 8.0, 0.0, target, [CONCENTRATE, WATER])
    assert (refused.value.code, refused.value.path) == ("out_of_range", "target")
    assert "65" in refused.value.accepted


@pytest.mark.parametrize(("target", "warned"), [(0.3299, True), (0.33, False), (0.3301, False)])
def test_lowest_strength(target: float, warned: bool) -> None:
    """Limit fill.lowest_strength, 33 %, common practice: a warning, no refusal."""
    found = _plan(8.0, 8.0, 0.0, target, [CONCENTRATE, WATER])
    assert found.warnings == (("below_lowest_strength",) if warned else ())


@pytest.mark.parametrize(("off", "reachable"), [(0.0049, True), (0.005, True), (0.0051, False)])
def test_strength_tolerance(off: float, reachable: bool) -> None:
    """Limit fill.strength_tolerance, half a point."""
    found = _plan(8.0, 8.0, 0.0, 0.50 + off, [PREMIX])
    assert found.reachable is reachable


BAD = [
    ({"drained": 8.0e-3}, "drained", "more"),
    ({"drained": -1.0e-3}, "drained", "between zero and the capacity"),
    ({"capacity": 0.0, "drained": 0.0}, "capacity", "above zero"),
    ({"residual_strength": 1.2}, "residual_strength", "0 and 100"),
    ({"target": -0.1}, "target", "0 and 100"),
    ({"at_hand": []}, "at_hand", "at least one"),
    ({"at_hand": [AtHand("water", 0.0, 0.0)]}, "at_hand", "empty"),
    ({"at_hand": [AtHand("premix", 1.5)]}, "at_hand[0].strength", "0 and 100"),
    ({"at_hand": [AtHand("premix", 0.5, -1.0)]}, "at_hand[0].volume", "negative"),
]


@pytest.mark.parametrize(("change", "path", "word"), BAD, ids=lambda v: str(v)[:30])
def test_refused(change: dict[str, object], path: str, word: str) -> None:
    good: dict[str, object] = {
        "capacity": 7.6e-3,
        "drained": 4.3e-3,
        "residual_strength": 0.35,
        "target": 0.5,
        "glycol": "ethylene",
        "at_hand": [CONCENTRATE, WATER],
        "limits": limits(),
    }
    with pytest.raises(Refusal) as refused:
        plan(**{**good, **change})  # type: ignore[arg-type]
    assert refused.value.path == path
    if word != "more":
        assert word in refused.value.message
    assert refused.value.accepted


def test_a_premix_must_say_its_strength() -> None:
    with pytest.raises(Refusal, match="label"):
        at_hand("premix")


SHARE = st.floats(0.0, 1.0)
FLUIDS = st.lists(
    st.builds(
        at_hand,
        st.sampled_from(["concentrate", "premix", "water"]),
        SHARE,
        st.none() | st.floats(1e-5, 2e-2),
    ),
    min_size=1,
    max_size=5,
)


@given(st.floats(0.0, 1.0), SHARE, st.floats(0.0, 0.65), FLUIDS)
def test_glycol_and_volume_are_conserved(
    drained_share: float, residual: float, target: float, fluids: list[AtHand]
) -> None:
    capacity = 8e-3
    found = plan(
        capacity=capacity,
        drained=drained_share * capacity,
        residual_strength=residual,
        target=target,
        glycol="propylene",
        at_hand=fluids,
        limits=limits(),
    )
    poured = sum(a.volume for a in found.amounts)
    assert poured + found.short == pytest.approx(found.fill_volume, abs=1e-9)
    kept = capacity - found.fill_volume
    glycol = residual * kept + sum(a.volume * a.fluid.strength for a in found.amounts)
    assert glycol == pytest.approx(found.result * (kept + poured), abs=1e-9)
    for amount in found.amounts:
        held = amount.fluid.volume
        assert amount.volume >= 0.0
        assert held is None or amount.volume <= held * (1.0 + 1e-9)
    if found.reachable:
        assert abs(found.result - target) <= limits()["fill.strength_tolerance"] + 1e-6
