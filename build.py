#!/usr/bin/env python3
"""Builds, serves and checks weeptrace: serve, build, test, check, bench, study, shots.

Starts on a stock Python 3.11 or newer. The first run makes ``.venv`` with the pinned tools and runs
again inside it; the steps of a build live in ``webshell/tools/``.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
OLDEST = (3, 11)

sys.path.insert(0, str(ROOT / "webshell" / "tools"))
import machine  # noqa: E402
from steps import Stop, step  # noqa: E402


def enter_venv() -> None:
    """Run again in ``.venv``, which is made and filled first where it isn't there."""
    if Path(sys.prefix).resolve() == VENV.resolve():
        machine.pip_install("requirements-dev.txt")
        return
    if not PYTHON.exists():
        make_venv()
    command = [str(PYTHON), str(ROOT / "build.py"), *sys.argv[1:]]
    if os.name == "nt":
        sys.exit(subprocess.call(command))
    sys.stdout.flush()
    os.execv(command[0], command)


def make_venv() -> None:
    """Make ``.venv`` with this Python."""
    if importlib.util.find_spec("ensurepip") is None:
        package = f"python{sys.version_info.major}.{sys.version_info.minor}-venv"
        if not machine.apt_install(package):
            raise Stop(
                f"This Python can't make a virtual environment: install {package} "
                "(on Debian: apt-get install python3-venv), then run this again."
            )
    with step("making .venv"):
        subprocess.run([sys.executable, "-m", "venv", str(VENV)], check=True)


def serve(options: argparse.Namespace) -> None:
    """Build, then serve dist/ on this machine."""
    import release
    import server

    server.serve(release.build(), options.host, options.port)


def build(_: argparse.Namespace) -> None:
    """Write dist/: static files for any HTTPS host."""
    import release

    folder = release.build().relative_to(ROOT)
    print(f"The app lies in {folder}/; hosting.md in it says how to host it.")


def check(_: argparse.Namespace) -> None:
    """The checks that run nothing of the app: style, types, rules."""
    import release

    tools = sorted(str(path) for path in (ROOT / "webshell" / "tools").rglob("*.py"))
    tsc = [*machine.node(), str(machine.node_modules() / "typescript" / "bin" / "tsc"), "-p"]
    checks = {
        "ruff check": [sys.executable, "-m", "ruff", "check"],
        "ruff format --check": [sys.executable, "-m", "ruff", "format", "--check"],
        "mypy (core)": [sys.executable, "-m", "mypy"],
        "mypy (build)": [sys.executable, "-m", "mypy", "build.py", *tools],
        "tsc (page)": [*tsc, "webshell/tsconfig.json"],
        "tsc (workers)": [*tsc, "webshell/tsconfig.worker.json"],
    }
    failed = []
    for name, command in checks.items():
        with step(name):
            if subprocess.run(command, cwd=ROOT, check=False).returncode:
                failed.append(name)
    try:
        release.rules()
    except Stop as stop:
        print(stop)
        failed.append("rules")
    import contract
    import door_words
    import sentences

    said = (("sentences", sentences), ("words of the door", door_words), ("contract", contract))
    for name, tool in said:
        with step(name):
            if told := tool.faults():
                print("\n".join(told))
                failed.append(name)
    if failed:
        raise Stop(f"Failed: {', '.join(failed)}.")


def test(options: argparse.Namespace) -> None:
    """The checks, then every test."""
    faults = []
    try:
        check(options)
    except Stop as stop:
        faults.append(str(stop))
    browser = machine.browser()
    print(f"Browser for the tests: {browser}", flush=True)
    environment = {**os.environ, "WEEPTRACE_BROWSER": browser}
    # Byte code is kept: the suite starts a hundred more processes, each of which loads the core.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    # Two more than there are cores: with as many as cores they stand idle for a fifth of the time.
    hands = [f"--numprocesses={min(os.cpu_count() or 1, 4) + 2}", "--dist=worksteal"]
    command = [sys.executable, "-m", "pytest", *hands, *options.more]
    if subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode:
        faults.append("Failed: pytest.")
    if faults:
        raise Stop("\n".join(faults))


def bench(_: argparse.Namespace) -> None:
    """Print times to first step, to engine ready and of one answer, and the size of dist/."""
    import bench as figures
    import release

    figures.bench(release.build(), machine.browser())


def shots(_: argparse.Namespace) -> None:
    """Take pictures of the app's screens into tests/browser/shots/."""
    import release
    import shots as pictures

    pictures.take(release.build(), machine.browser())


def study(options: argparse.Namespace) -> None:
    """Run one long study whole; its figures go to tests/studies/results/."""
    path = os.pathsep.join([str(ROOT / "core"), str(ROOT)])
    command = [sys.executable, "-m", f"tests.studies.{options.name}", *options.more]
    environment = {**os.environ, "PYTHONPATH": path}
    if subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode:
        raise Stop(f"The study {options.name} failed.")


def studies() -> list[str]:
    """The names of the studies."""
    files = (ROOT / "tests" / "studies").glob("*.py")
    return sorted(file.stem for file in files if file.stem not in ("__init__", "report", "told"))


COMMANDS = (serve, build, test, check, bench, study, shots)


def main() -> None:
    """Run one command of the command line."""
    parser = argparse.ArgumentParser(prog="build.py", description=__doc__.split("\n")[0])
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        sub = commands.add_parser(command.__name__, help=(command.__doc__ or "").split("\n")[0])
        sub.set_defaults(command=command)
        if command is serve:
            sub.add_argument("--port", type=int, default=8000, help="8000 where it isn't given")
            sub.add_argument("--host", default="localhost", help="0.0.0.0 opens it to the network")
        if command is study:
            sub.add_argument("name", choices=studies())
            sub.add_argument("more", nargs=argparse.REMAINDER, help="passed to the study")
        if command is test:
            sub.add_argument("more", nargs=argparse.REMAINDER, help="passed to pytest")
    options = parser.parse_args()
    if sys.version_info < OLDEST:
        raise Stop(
            f"Python {OLDEST[0]}.{OLDEST[1]} or newer is needed; this is {sys.version.split()[0]}."
        )
    enter_venv()
    options.command(options)


if __name__ == "__main__":
    try:
        main()
    except Stop as stop:
        sys.exit(str(stop))
