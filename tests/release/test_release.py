"""What the build writes: whole, the same each time, from one origin, with its licences."""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "webshell" / "tools"))
import release  # noqa: E402
import steps  # noqa: E402

from weeptrace.words import LANGUAGE  # noqa: E402

SHELL_FILES = (".js", ".css", ".html", ".webmanifest", ".json")


@pytest.fixture(scope="module")
def dist() -> Path:
    return release.build()


def contents(folder: Path) -> dict[str, str]:
    """Path -> SHA-256 of every file of a folder."""
    return {
        file.relative_to(folder).as_posix(): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in folder.rglob("*")
        if file.is_file()
    }


def shell_files(dist: Path) -> list[Path]:
    """The files of dist/ that are our own sources."""
    apart = ("vendor", "runtime", "licences")
    return [
        file
        for file in dist.rglob("*")
        if file.suffix in SHELL_FILES and file.relative_to(dist).parts[0] not in apart
    ]


def the_release(dist: Path) -> dict[str, dict[str, str]]:
    """What the service worker holds: release, headers, files."""
    text = (dist / "service-worker.js").read_text()
    found = re.search(r"^const RELEASE = (\{.*?^\});$", text, re.DOTALL | re.MULTILINE)
    assert found
    read: dict[str, dict[str, str]] = json.loads(found[1])
    return read


def test_a_build_from_scratch_gives_the_same_bytes(dist: Path) -> None:
    before = contents(dist)
    for stamp in ("stdlib", "site", "dist"):
        (release.BUILD / f"{stamp}.stamp").unlink()
    assert contents(release.build()) == before


def test_the_phone_keeps_every_file_by_its_hash(dist: Path) -> None:
    files = contents(dist)
    for path in release.FOR_THE_HOST:
        del files[path]
    assert the_release(dist)["files"] == files
    assert {"index.html", "app.js", "runtime/pyodide.asm.wasm", "scenarios.json"} <= set(files)


def test_no_source_names_another_origin(dist: Path) -> None:
    namespaces = ("http://www.w3.org/",)
    for file in shell_files(dist):
        for address in re.findall(r"https?://[^\s\"'`)]+", file.read_text()):
            assert address.startswith(namespaces), f"{file.name} names {address}"


def test_every_import_is_a_relative_path(dist: Path) -> None:
    found = 0
    for file in shell_files(dist):
        for match in release.IMPORT.finditer(file.read_text()) if file.suffix == ".js" else ():
            if match[3]:
                assert match[3].startswith("."), f"{file.name} imports {match[3]}"
                found += 1
    assert found > 10


def test_every_part_travels_with_its_licence(dist: Path) -> None:
    wheels = {wheel.name.split("-")[0] for wheel in (release.BUILD / "wheels").glob("*.whl")}
    vendored = {folder.name for folder in (dist / "vendor").iterdir()}
    parts = wheels | vendored | {"pyodide", "python", "weeptrace", "atkinson-hyperlegible-next"}
    listed = (dist / "licences" / "index.txt").read_text()
    for part in parts:
        assert len((dist / "licences" / f"{part}.txt").read_text()) > 500, part
        assert f"licences/{part}.txt" in listed


def test_the_wheels_are_those_of_the_browsers_python() -> None:
    names = sorted(wheel.name for wheel in (release.BUILD / "wheels").glob("*.whl"))
    assert all(name.endswith("-none-any.whl") for name in names)
    distributions = [name.split("-")[0] for name in names]
    assert len(set(distributions)) == len(distributions)
    assert {"pint", "fastjsonschema", "pyrsistent"} <= set(distributions)


def test_the_page_is_in_the_language_of_the_texts(dist: Path) -> None:
    assert f'<html lang="{LANGUAGE}" ' in (dist / "index.html").read_text("utf-8")


def test_what_imports_no_module_has_its_words_from_the_shells(dist: Path) -> None:
    words = json.loads((release.SHELL / "draw/words/page.json").read_text("utf-8"))
    page = (dist / "index.html").read_text("utf-8")
    manifest = json.loads((dist / "manifest.webmanifest").read_text("utf-8"))
    assert f"<noscript>{words['noScript']}</noscript>" in page
    assert f'content="{words["description"]}"' in page
    assert (manifest["name"], manifest["description"]) == (words["app"], words["description"])
    assert manifest["lang"] == LANGUAGE
    worker = (dist / "service-worker.js").read_text("utf-8")
    assert f'"lost": "{words["lost"]}"' in worker
    assert not (dist / "draw/words/page.json").exists()


def test_words_are_written_as_each_file_needs_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(release, "words", lambda: {"a": 'Hot & "cold"'})
    assert release.worded("x.html", b"<p>{{a}}</p>") == b"<p>Hot &amp; &quot;cold&quot;</p>"
    assert release.worded("x.webmanifest", b'{"a": "{{a}}"}') == b'{"a": "Hot & \\"cold\\""}'
    assert release.worded("x.js", b"{{a}}") == b"{{a}}"
    with pytest.raises(release.Stop, match="names the words b"):
        release.worded("x.html", b"{{b}}")


def test_the_pages_own_policy_agrees_with_the_header(dist: Path) -> None:
    header = release.headers()["Content-Security-Policy"]
    found = re.search(r'http-equiv="Content-Security-Policy"\s+content="([^"]+)"',
                      (dist / "index.html").read_text())  # fmt: skip
    assert found
    # A <meta> policy can't say who may frame the page (CSP level 3, 3.3).
    wanted = [part for part in header.split("; ") if not part.startswith("frame-ancestors")]
    assert found[1].split("; ") == wanted


def test_the_samples_for_hosts_hold_every_header(dist: Path) -> None:
    for name, value in release.headers().items():
        assert f"  {name}: {value}\n" in (dist / "_headers").read_text()
        assert f'add_header {name} "{value}" always;' in (dist / "hosting.md").read_text()


def test_the_phone_carries_the_core_without_what_only_other_programs_use(dist: Path) -> None:
    with zipfile.ZipFile(dist / "runtime" / "site.zip") as packed:
        own = {
            name.removesuffix("c") for name in packed.namelist() if name.startswith("weeptrace/")
        }
    core = ROOT / "core"
    every = {path.relative_to(core).as_posix() for path in core.rglob("weeptrace/**/*.py")}
    left = {name for name in every - own if not name.startswith("weeptrace/practice/")}
    assert left == {
        "weeptrace/hold/curve_fit.py",
        "weeptrace/door/practice.py",
        "weeptrace/door/phone.py",
    }
    assert not [name for name in own if name.startswith("weeptrace/practice/")]


def test_practice_cars_are_the_scenarios_in_order(dist: Path) -> None:
    cars = sorted((ROOT / "demo_scenarios").glob("*.toml"))
    read = json.loads((dist / "scenarios.json").read_text())
    assert len(read) == len(cars) > 0
    for car, text in zip(read, [car.read_text() for car in cars], strict=True):
        assert json.dumps(car["label"], ensure_ascii=False) in text


def test_a_bare_name_becomes_a_relative_path() -> None:
    imported: set[str] = set()
    source = (
        'import { html } from "lit-html";\nawait import("pyodide");\n/** @import {X} from "idb" */'
    )
    assert release.rewrite("pages/first.js", source, imported) == (
        'import { html } from "../vendor/lit-html/lit-html.js";\n'
        'await import("../runtime/pyodide.mjs");\n/** @import {X} from "idb" */'
    )
    assert imported == {"lit-html/lit-html.js", "pyodide/pyodide.mjs"}


def test_an_unknown_package_stops_the_build() -> None:
    with pytest.raises(steps.Stop, match=r"webshell/app\.js imports left-pad"):
        release.rewrite("app.js", 'import pad from "left-pad";', set())


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("app.js", 'import "./nowhere.js";'),
        ("styles/base.css", 'a { background: url("nowhere.png"); }'),
        ("index.html", '<link rel="icon" href="nowhere.svg" />'),
        ("manifest.webmanifest", '{"icons": [{"src": "nowhere.png"}]}'),
    ],
)
def test_a_missing_file_stops_the_build(path: str, text: str) -> None:
    with pytest.raises(steps.Stop, match=rf"webshell/{re.escape(path)} names .*nowhere"):
        release.check_links({path: text.encode()})


def test_a_step_runs_again_only_when_its_inputs_or_outputs_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(steps, "ROOT", tmp_path)
    runs = []
    output = tmp_path / "output"

    def make() -> None:
        runs.append(1)
        output.write_text("made")

    def once(inputs: str) -> int:
        steps.once("making", tmp_path / "a.stamp", inputs, [output], make)
        return len(runs)

    assert [once("a"), once("a"), once("b"), once("b")] == [1, 1, 2, 2]
    output.write_text("touched by hand")
    assert once("b") == 3
    output.unlink()
    assert [once("b"), once("b")] == [4, 4]


def test_a_step_that_fails_is_not_taken_as_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(steps, "ROOT", tmp_path)

    def fail() -> None:
        raise steps.Stop("no")

    for _ in range(2):
        with pytest.raises(steps.Stop):
            steps.once("failing", tmp_path / "a.stamp", "a", [], fail)


def test_a_failed_command_shows_what_it_said(capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(steps.Stop, match="status 3"):
        steps.run([sys.executable, "-c", "print('why'); raise SystemExit(3)"])
    assert "why" in capfd.readouterr().err


@pytest.mark.parametrize("name", sorted(path.name for path in ROOT.glob("requirements-*.txt")))
def test_every_requirement_is_pinned_with_a_hash(name: str) -> None:
    entries = (ROOT / name).read_text().replace("\\\n", " ").split("\n")
    entries = [entry for entry in entries if entry.strip() and not entry.startswith("#")]
    assert entries
    for entry in entries:
        assert re.match(r"[\w.-]+==\S+( ;[^#]*?)?( +--hash=sha256:[0-9a-f]{64})+\s*$", entry), entry


def test_the_npm_lock_names_hashes_and_no_host() -> None:
    lock = json.loads((ROOT / "webshell" / "package-lock.json").read_text())
    packages = {name: package for name, package in lock["packages"].items() if name}
    assert packages
    for name, package in packages.items():
        assert package["integrity"].startswith("sha512-"), name
        assert "resolved" not in package, name


def test_build_py_says_what_it_can_do() -> None:
    said = subprocess.run([sys.executable, ROOT / "build.py", "--help"],
                          capture_output=True, text=True, check=True).stdout  # fmt: skip
    for command in ("serve", "build", "test", "check", "bench", "shots"):
        assert re.search(rf"^\s+{command} ", said, re.MULTILINE), command
