"""The constructed cases: true cause on top, a test of the case proposed, nothing forbidden.

The cases were made by the hand that made the rules: they lock what was meant, and prove nothing of
real cars.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.causes.support import CASES, KNOWLEDGE, ranked

BY_ID = pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])


@BY_ID
def test_the_true_cause_and_what_is_acceptable_are_in_the_first_three(case: dict[str, Any]) -> None:
    first = [each.id for each in ranked(case).causes[:3]]
    assert case["true_cause"] in first
    assert set(case["acceptable_top"]) <= set(first)


@BY_ID
def test_the_true_cause_leads(case: dict[str, Any]) -> None:
    assert ranked(case).causes[0].id == case["true_cause"]


@BY_ID
def test_a_test_of_the_case_is_among_the_first_three(case: dict[str, Any]) -> None:
    first = {each.test for each in ranked(case).next_tests[:3]}
    assert first & {each["test"] for each in case["best_next_test"]}


# What a forbidden action would look like as a proposed test: tests that run, drive or crank.
_FORBIDS = {
    "drive_with_mixed_oil": {"runs", "drives", "cranks"},
    "drive_with_mixed_atf": {"runs", "drives", "cranks"},
    "drive_on_empty": {"drives"},
}


@BY_ID
def test_nothing_forbidden_is_proposed_and_the_case_s_warnings_are_given(
    case: dict[str, Any],
) -> None:
    found = ranked(case)
    forbidden = {each["code"] for each in case["must_not"]}
    for each in found.next_tests:
        assert each.test not in forbidden
        needs = KNOWLEDGE.tests[each.test].needs
        for code in forbidden & set(_FORBIDS):
            assert not needs & _FORBIDS[code], (each.test, code)
    assert forbidden & set(_FORBIDS) <= set(found.cautions)


def test_each_finding_deleted_in_turn_and_what_it_changes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Prints the cases that hang on one finding: one case alone may."""
    changed: dict[str, list[str]] = {}
    findings = sorted({each["finding"] for case in CASES for each in case["observations"]})
    leads = {case["id"]: ranked(case, tools=()).causes[0].id for case in CASES}
    for finding in findings:
        for case in CASES:
            if any(each["finding"] == finding for each in case["observations"]):
                now = ranked(case, finding, ()).causes[0].id
                if now != leads[case["id"]]:
                    changed.setdefault(finding, []).append(f"{case['id']} to {now}")
    with capsys.disabled():
        for finding, those in changed.items():
            print(f"\nwithout {finding}: {', '.join(those)}", end="")
    assert sum(len(those) for those in changed.values()) <= 1
