"""``python -m weeptrace.rules [--out FILE]``: check the rules, and write the bundle."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from weeptrace.rules import FOLDER
from weeptrace.rules.compiler import compile_folder
from weeptrace.rules.source import RulesError


def main(arguments: list[str] | None = None) -> int:
    """Exit status 0, or 1 with one line a fault."""
    parser = argparse.ArgumentParser(prog="python -m weeptrace.rules", description=main.__doc__)
    parser.add_argument("folder", nargs="?", type=Path, default=FOLDER)
    parser.add_argument("--out", type=Path, help="write the bundle to this file")
    options = parser.parse_args(arguments)
    try:
        bundle = compile_folder(options.folder)
    except RulesError as problem:
        print(problem, file=sys.stderr)
        return 1
    if options.out:
        options.out.write_text(json.dumps(bundle, ensure_ascii=False), "utf-8")
    steps = sum(len(each["steps"]) for each in bundle["procedures"].values())
    print(f"rules {bundle['hash']}: {steps} steps, {len(bundle['limits'])} limits")
    return 0


if __name__ == "__main__":
    sys.exit(main())
