"""What DEVELOPERS.md says of the studies, written from their result files and from nothing else.

``python -m tests.studies.told`` writes it between the two marks of that file again.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.studies.report import RESULTS

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"
MARKS = ("<!-- written by tests/studies/told.py -->", "<!-- end -->")
Cells = dict[str, dict[str, Any]]


def read(name: str) -> dict[str, Any]:
    """The result file of a study."""
    found: dict[str, Any] = json.loads((RESULTS / f"{name}.json").read_text("utf-8"))
    return found


def share(value: float, decimals: int = 0) -> str:
    """0.0833 as "8 %"."""
    return f"{100 * value:.{decimals}f} %"


def whole() -> str:
    """All of it, as it stands between the marks."""
    tables = (_intervals, _habit, _troubles, _causes, _rules, _slips)
    return "\n\n".join("\n".join(table()) for table in tables)


def _wrapped(words: str) -> str:
    return textwrap.fill(words, 100, break_long_words=False, break_on_hyphens=False)


def _row(*cells: str) -> str:
    return f"| {' | '.join(cells)} |"


def _intervals() -> Iterator[str]:
    coverage, efficiency, verdicts = (read(n) for n in ("coverage", "efficiency", "verdicts"))
    pooled, lowest = coverage["pooled"], coverage["lowest_cell"]
    cells: Cells = verdicts["cells"]
    tight = [cell for name, cell in cells.items() if name.startswith("0 mL")]
    called = [cell["called_a_leak"] for cell in tight]
    leaks = {name: cell for name, cell in cells.items() if not name.startswith("0 mL")}
    low_name, low = max(leaks.items(), key=lambda pair: pair[1]["bound_below_the_leak"])
    yield _row("study", "target", "result")
    yield "|---|---|---|"
    yield _row(
        f"`coverage`, {len(coverage['cells'])} cells of {coverage['cars_a_cell']} cars",
        "95 % intervals contain the true value in 93 to 97 % of all cars, 90 % of each cell",
        f"rate {share(pooled['rate'], 1)} overall, {share(lowest['rate'], 1)} in the worst cell; "
        f"flow {share(pooled['flow'], 1)} (wide where 1 mL/kPa is stored: there the study fixes "
        f"what the pump's strokes leave open) and {share(lowest['flow'], 1)}; upper limit "
        f"{share(pooled['bound'], 1)} and {share(lowest['bound'], 1)}",
    )
    yield _row(
        f"`efficiency`, regular cells of {efficiency['cars_a_cell']} cars",
        "error at most 1.10 times the Cramér-Rao bound",
        f"{efficiency['mean_of_regular_cells']:.2f} on average, "
        f"{efficiency['worst_regular_cell']:.2f} in the worst cell",
    )
    yield _row(
        "`verdicts`, no leak, judged after every reading",
        "at most 5 % called a leak, for any amount of creep",
        f"{share(verdicts['false_leak_over_all_looks'], 1)} with creep drawn; "
        f"{share(min(called), 1)} to {share(max(called), 1)} by cell of {tight[0]['cars']} cars "
        f"(standard error up to {share(max(cell['se_called'] for cell in tight), 1)})",
    )
    yield _row(
        "`verdicts`, leaks",
        "at most 5 % with an X too small in “no leak above X”",
        f"{share(verdicts['bound_below_the_leak_over_all_looks'], 1)} with creep drawn, "
        f"{share(low['bound_below_the_leak'], 1)} in the worst cell of {low['cars']} cars "
        f"({low_name})",
    )
    yield _row(
        f"`verdicts`, leaks not called after {verdicts['planned_min']:.0f} min",
        "none set",
        f"{share(verdicts['missed_after_15_min'], 1)} of all leaks drawn, most of them of 0.1 and "
        f"0.3 mL/min; the shop habit misses {share(verdicts['missed_habit'], 1)} and calls "
        f"{share(verdicts['false_leak_habit'], 1)} of the tight cars",
    )


def _habit() -> Iterator[str]:
    verdicts = read("verdicts")
    yield "The shop habit of 15 min and “fell by one division”, on the same cars (creep drawn):"
    yield ""
    yield _row("leak, mL/min", "stored, mL/kPa", "called a leak", "after, min (median)",
               "by shop habit, after 15 min")  # fmt: skip
    yield "|---|---|---|---|---|"
    for name, cell in verdicts["cells"].items():
        found = re.fullmatch(r"([\d.]+) mL/min, ([\d.]+) mL/kPa, creep drawn", name)
        if found:
            median = cell["minutes_median"]
            yield _row(
                found[1],
                found[2],
                share(cell["called_a_leak"]),
                "" if median is None else f"{median:g}",
                share(cell["habit_called_a_leak"]),
            )


def _troubles() -> Iterator[str]:
    study = read("robustness")
    yield f"What spoils a hold (`robustness`, {study['cars_a_cell']} cars a cell, judged once at"
    yield "15 min; “right” is how often the interval, or the upper limit, holds the true value):"
    yield ""
    yield _row("trouble", "leak, mL/min", "leak claimed", "no leak found", "not judged",
               "interval right", "limit right")  # fmt: skip
    yield "|---|---|---|---|---|---|---|"
    for trouble, cells in study["troubles"].items():
        for leak, cell in cells.items():
            names = ("leak_claimed", "no_leak_found", "not_judged", "interval_holds_the_truth",
                     "bound_holds_the_truth")  # fmt: skip
            yield _row(trouble, leak.removesuffix(" mL/min"), *(share(cell[n]) for n in names))
    named = {name: study["troubles"][name]["0 mL/min"]["every_slip_named"]
             for name in ("one reading wrong", "one reading in ten wrong")}  # fmt: skip
    yield ""
    one, tenth = (share(named[name]) for name in named)
    yield _wrapped(
        f"On cars without a leak, all wrong readings are named in {one} of holds where one reading "
        f"is wrong by 10 kPa, and in {tenth} where one in ten is."
    )


def _causes() -> Iterator[str]:
    study = read("causes")
    said, changed = study["leader_mean_probability"], study["leader_changes_with_the_likelihoods"]
    missed, cost = study["calibration_error_every_cause"], study["share_of_all_in_order"]
    yield _wrapped(
        f"`causes`, {study['cars']} drawn cars: the top cause has {share(said)} on average and is "
        f"a fault of the car in {share(study['leader_is_a_fault'])}; over all causes the "
        f"probabilities are off by {share(missed, 1)}. Reaching the right decision by the "
        f"next best test takes {share(cost)} of the time of all tests in order. The "
        f"likelihoods are judgements: when they vary within a factor of 2, "
        f"the top cause changes in {share(changed)} of cars."
    )


def _rules() -> Iterator[str]:
    search, mutation = read("search"), read("mutation")
    minutes = (search["slices_seconds"] + search["course_seconds"]) / 60
    yield _wrapped(
        f"`search`: {search['slices']} slices of {search['slices_states']} states, and the course, "
        f"{search['course_states']} states with one departure at a time: {len(search['broken'])} "
        f"violations, in {minutes:.0f} min. `mutation`, slips in the rules: {mutation['mutants']} "
        f"mutants, {mutation['harmless']} of them harmless and listed with the reason, "
        f"{len(mutation['unlisted_survivors'])} others survive."
    )


def _slips() -> Iterator[str]:
    study = read("mutants")
    caught, part = study["caught"], share(study["share"], 1)
    yield f"`mutants`: {caught} slips in the core caught, {part} of those that change anything:"
    yield ""
    yield _row("room", "run", "caught", "change nothing", "share")
    yield "|---|---|---|---|---|"
    for name, room in study["rooms"].items():
        left, listed = len(room["survivors"]), len(room["listed_as_harmless"])
        caught = room["caught"]
        part = caught / (caught + left)
        yield _row(name, str(room["run"]), str(caught), str(listed), share(part))


def main(write: Callable[[str], object] = GUIDE.write_text) -> None:
    """Write DEVELOPERS.md again with the figures of the result files."""
    text = GUIDE.read_text("utf-8")
    before, _, rest = text.partition(MARKS[0])
    after = rest.partition(MARKS[1])[2]
    write(f"{before}{MARKS[0]}\n\n{whole()}\n\n{MARKS[1]}{after}")


if __name__ == "__main__":
    main()
