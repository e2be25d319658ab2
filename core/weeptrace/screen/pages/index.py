"""Which page a step shows, by the name in its ``shows``; ``rules.steps.PAGES`` are its keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from weeptrace.job.state import Job
from weeptrace.rules import Step
from weeptrace.screen.figures import Show
from weeptrace.screen.pages import (
    answers,
    balance,
    cap,
    checks,
    drive,
    hand_back,
    idle,
    ledger,
    mix,
    overnight,
    price,
    recheck,
    recorder,
    reopen,
    signature,
    tested,
    tester,
    transmission,
    uptake,
    verdict,
    warm_up,
    watch,
)
from weeptrace.screen.parts import Json
from weeptrace.screen.record import page as record

# A page: its blocks and its foot.
Page = Callable[[Show, Job, Step], tuple[list[Json], Json]]
PAGES: Final[dict[str, Page]] = {
    "recorder": recorder.blocks,
    "cap": cap.blocks,
    "drive": drive.blocks,
    "idle": idle.blocks,
    "overnight": overnight.blocks,
    "tested": tested.blocks,
    "hand_back": hand_back.blocks,
    "recheck": recheck.blocks,
    "reopen": reopen.blocks,
    "signature": signature.blocks,
    "verdict": verdict.blocks,
    "checks": checks.blocks,
    "adapter": tester.adapter_blocks,
    "self_test": tester.self_test_blocks,
    "answers": answers.blocks,
    "price": price.blocks,
    "transmission": transmission.blocks,
    "ledger_off": ledger.off_blocks,
    "ledger_on": ledger.on_blocks,
    "uptake": uptake.blocks,
    "warm_log": warm_up.log_blocks,
    "warm_result": warm_up.result_blocks,
    "watch": watch.blocks,
    "mix": mix.blocks,
    "balance": balance.blocks,
    "record": record.blocks,
}
