"""Whole jobs on a physical world: who is hurt, at which step, without having ticked an untruth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.practice.world.jobs import job
from weeptrace.door.phone import Phone as Engine
from weeptrace.practice.car import Leak
from weeptrace.practice.world import hands
from weeptrace.practice.world.drawn import FAULTS, some_car
from weeptrace.practice.world.phone import Phone
from weeptrace.practice.world.play import play
from weeptrace.practice.world.player import Played, Player
from weeptrace.practice.world.technicians import TEMPERS
from weeptrace.practice.world.world import World

SEEDS = range(8)


@pytest.fixture(scope="module")
def played() -> Callable[[str, int], Played]:
    """A job, played once."""
    kept: dict[tuple[str, int], Played] = {}

    def give(technician: str, seed: int) -> Played:
        if (technician, seed) not in kept:
            kept[technician, seed] = job(technician, seed)
        return kept[technician, seed]

    return give


@pytest.mark.parametrize("technician", TEMPERS)
def test_nobody_is_hurt_who_ticks_nothing_untrue(
    played: Callable[[str, int], Played], technician: str
) -> None:
    found = {
        f"{hurt.step}: {hurt.harm.kind}, {hurt.harm.why}"
        for seed in SEEDS
        for hurt in played(technician, seed).harms
        if hurt.untrue is None
    }
    assert found == set()


@pytest.mark.parametrize("technician", TEMPERS)
def test_every_job_ends_and_some_close(
    played: Callable[[str, int], Played], technician: str
) -> None:
    ends = [played(technician, seed).end for seed in SEEDS]
    assert "bound" not in ends
    assert "closed" in ends


def test_an_untrue_answer_is_named_by_each_harm_after_it(
    played: Callable[[str, int], Played],
) -> None:
    named = [hurt for seed in SEEDS for hurt in played("untrue", seed).harms if hurt.untrue]
    assert named
    for hurt in named:
        assert hurt.untrue is not None
        assert hurt.untrue["moment"] <= hurt.harm.at
        assert hurt.untrue["field"]
    assert all(hurt.untrue is None for hurt in played("hurried", 0).harms)


def test_the_same_seed_gives_the_same_job(played: Callable[[str, int], Played]) -> None:
    again = job("confused", 3)
    assert again.pages == played("confused", 3).pages
    assert again.harms == played("confused", 3).harms


def test_an_interrupted_phone_starts_anew_and_says_so(
    played: Callable[[str, int], Played],
) -> None:
    kinds = [page["answer"]["kind"] for seed in SEEDS for page in played("interrupted", seed).pages]
    assert "resumed" in kinds
    obedient = [page["answer"]["kind"] for page in played("obedient", 0).pages]
    assert "resumed" not in obedient


def test_a_page_is_read_before_it_is_answered(played: Callable[[str, int], Played]) -> None:
    pages = played("obedient", 1).pages[2:]
    assert all(page["words"] for page in pages)
    shown = {page["step"] for page in pages}
    assert shown <= set(hands.pages())


def test_a_sleeping_phone_has_one_clock_that_stands_still() -> None:
    phone = Phone()
    before = phone.moment(100.0)
    phone.sleep(50.0)
    after = phone.moment(150.0)
    assert after["mono"] == before["mono"]
    assert after["at"] > before["at"]
    phone.restart(200.0)
    assert phone.moment(200.0) == {**phone.moment(200.0), "mono": 0.0, "boot": "boot-2"}
    assert phone.until((8, 10), 0.0) == pytest.approx(659.0)


def test_without_the_untrue_ticks_nobody_is_hurt(
    played: Callable[[str, int], Played],
) -> None:
    hurt = [seed for seed in SEEDS if played("untrue", seed).harms]
    assert hurt
    assert [each.harm for seed in hurt for each in job("untrue", seed, honest=True).harms] == []


def test_a_pump_that_leaks_as_it_turns_is_seen_before_a_test_drives_the_car() -> None:
    drawn = some_car(FAULTS.index("water_pump"))
    leak = Leak("water_pump", 0.0, turning=20e-6 / 60.0)  # m3/s, 20 mL/min as it idles
    place = replace(drawn.place, firm=True)
    car = replace(
        drawn,
        car=replace(drawn.car, leaks=(leak,)),
        arrives=290.0,
        level=0.0,
        near_exhaust=True,
        place=place,
    )

    def wishes(player: Player) -> bool:
        if not player.eyes.wished:
            player.eyes.wished = {
                "work.route": ["measure"],
                "test.kind": ["dye", "none"],
                "drive.decision": ["drive"],
            }
        return False

    played = play(World(car, 1), "obedient", 1, Engine(), before=wishes)
    idled = [page["answer"]["typed"] for page in played.pages if page["step"] == "test_idle"]
    assert idled == ["drips"]
    assert "dye_drive" not in {page["step"] for page in played.pages}
    assert [hurt for hurt in played.harms if hurt.untrue is None] == []
