"""The same door on a command line: ``python -m weeptrace OP``, JSON on stdin, JSON on stdout."""

from __future__ import annotations

import argparse
import json
import os
import sys

from weeptrace.door import OPERATIONS, call_text, help_of, shown


def main(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit status is 0, or 2 where the answer is an error."""
    parser = argparse.ArgumentParser(
        prog="python -m weeptrace",
        description="Runs one operation: reads JSON on stdin, writes JSON on stdout.",
        add_help=False,
    )
    parser.add_argument("operation", nargs="?", metavar="OP", help="the operation's name")
    parser.add_argument("--list", action="store_true", help="print the operations, one a line")
    parser.add_argument("--json", action="store_true", help="with --list: their JSON Schemas")
    parser.add_argument(
        "--help", "-h", action="store_true", help="with OP: its schemas and a sample that answers"
    )
    options = parser.parse_args(arguments)
    if options.list:
        return _print_list(options.json)
    if options.help and options.operation in OPERATIONS:
        return _print_operation(options.operation)
    if options.help or options.operation is None:
        parser.print_help()
        return 0 if options.help else 2
    answer = call_text(options.operation, sys.stdin.read())
    print(answer)
    return 2 if "error" in json.loads(answer) else 0


def _print_list(as_json: bool) -> int:
    if as_json:
        listed = {name: shown(each) for name, each in OPERATIONS.items()}
        print(json.dumps(listed, ensure_ascii=False, indent=1))
    else:
        width = max(map(len, OPERATIONS))
        for name, each in OPERATIONS.items():
            print(f"{name:<{width}}  {help_of(each)}")
    return 0


def _print_operation(name: str) -> int:
    told = shown(OPERATIONS[name])
    print(f"{name}: {told['help']}\n")
    for title in ("Input", "Output", "Sample"):
        print(f"{title}:\n{json.dumps(told[title.lower()], ensure_ascii=False, indent=1)}\n")
    print(f"Try: python -m weeptrace {name} < sample.json")
    return 0


def run() -> int:
    """The command line as a program: who reads it may stop reading, as ``head`` does."""
    try:
        status = main()
        sys.stdout.flush()
    except BrokenPipeError:
        # What is left is written nowhere: the interpreter flushes once more as it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status


if __name__ == "__main__":
    sys.exit(run())
