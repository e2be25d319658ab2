"""Writes ``dist/``: the app as static files that any HTTPS host can serve."""

from __future__ import annotations

import hashlib
import html
import json
import os
import re
import shutil
import sys
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import machine
from steps import BUILD, ROOT, Stop, digest, files_of, once, run

SHELL = ROOT / "webshell"
TOOLS = SHELL / "tools"
DIST = ROOT / "dist"
CORE = ROOT / "core"
PICTURES = BUILD / "procedures"
sys.path.insert(0, str(CORE))
from weeptrace.words import LANGUAGE  # noqa: E402

# The Python that Pyodide is, for markers of requirements.
BROWSER_PYTHON = {"python_version": "3.14", "python_full_version": "3.14.0",
                  "sys_platform": "emscripten", "platform_machine": "wasm32"}  # fmt: skip
# npm package -> (the module that its bare name means, its folder in dist/).
PACKAGES = {"lit-html": ("lit-html.js", "vendor/lit-html"),
            "idb": ("build/index.js", "vendor/idb"),
            "pyodide": ("pyodide.mjs", "runtime")}  # fmt: skip
RUNTIME = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
FONT = "@fontsource-variable/atkinson-hyperlegible-next"
FONT_FILE = "atkinson-hyperlegible-next-latin-wght-normal.woff2"
# What of webshell/ is not part of the app.
NOT_SHIPPED = {"tools", "licences", "node_modules", "package.json", "package-lock.json",
               ".npmrc", "tsconfig.json", "tsconfig.worker.json", "README.md"}  # fmt: skip
# Files for the host, not for the phone.
FOR_THE_HOST = {"_headers", "hosting.md", "service-worker.js"}
# How words are written into a file of this kind.
WORDED: dict[str, Callable[[str], str]] = {
    ".html": html.escape,
    ".webmanifest": lambda text: json.dumps(text, ensure_ascii=False)[1:-1],
}
# What the service worker says.
SAID_BY_WORKER = ("notOfRelease", "lost", "lostNewer")
COMMENT = re.compile(r"/\*.*?\*/|<!--.*?-->", re.DOTALL)
# An import, or a block comment (where JSDoc names types: those stay as they are).
IMPORT = re.compile(r"""/\*.*?\*/|(\b(?:from|import)\s*\(?\s*)(["'])([^"'\n]+)\2""", re.DOTALL)


def build() -> Path:
    """Build ``dist/``; nothing is done again whose inputs are the same."""
    with _one_at_a_time():
        modules = machine.node_modules()
        rules()
        _runtime_wheels()
        _core_wheel()
        _pack_stdlib(modules)
        _pack_site()
        _draw_procedures()
        inputs = digest(
            [SHELL, ROOT / "demo_scenarios", BUILD / "python", PICTURES, ROOT / "LICENSE"]
        )
        once("writing dist/", BUILD / "dist.stamp", inputs, [DIST], lambda: _write(modules))
    return DIST


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Two builds at once would mix their files: the second one waits."""
    BUILD.mkdir(exist_ok=True)
    with (BUILD / "lock").open("w") as lock:
        try:
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX)
        except ImportError:
            pass  # not on this system; builds there are started by hand
        yield


def rules() -> None:
    """Check the rules and write their bundle."""
    run_core = {**os.environ, "PYTHONPATH": str(CORE)}
    bundle = CORE / "weeptrace/rules/bundle.json"
    inputs = digest([file for file in files_of([CORE]) if file != bundle])

    def compile_rules() -> None:
        run([sys.executable, "-m", "weeptrace.rules", "--out", bundle], env=run_core)

    once("checking the rules", BUILD / "rules.stamp", inputs, [bundle], compile_rules)


def _runtime_wheels() -> None:
    """Fetch the wheels that the core runs on in the browser, hash-checked."""
    from packaging.markers import Marker

    wanted = ROOT / "requirements-runtime.txt"
    resolver = ROOT / "requirements-resolve.txt"
    wheels, tools = BUILD / "wheels", BUILD / "resolver"

    def fetch() -> None:
        entries = wanted.read_text().replace("\\\n", " ").splitlines()
        kept = []
        for entry in entries:
            requirement, _, rest = entry.partition("--hash")
            name, _, marker = requirement.partition(";")
            if marker.strip() and not Marker(marker.strip()).evaluate(BROWSER_PYTHON):
                continue
            kept.append(f"{name.strip()} --hash{rest}" if rest else name.strip())
        for_browser = BUILD / "requirements-browser.txt"
        for_browser.write_text("\n".join(kept) + "\n")
        for folder, requirements in ((wheels, for_browser), (tools, resolver)):
            shutil.rmtree(folder, ignore_errors=True)
            run([sys.executable, "-m", "pip", "download", "--disable-pip-version-check",
                 "--no-deps", "--require-hashes", "--only-binary", ":all:",
                 "--python-version", "3.14", "--implementation", "py", "--abi", "none",
                 "--platform", "any", "-r", requirements, "-d", folder])  # fmt: skip

    once("fetching wheels for the browser", BUILD / "wheels.stamp", digest([wanted, resolver]),
         [wheels, tools], fetch)  # fmt: skip


def _core_wheel() -> None:
    """Build the core's wheel from a clean copy of its sources."""
    sources = [ROOT / "pyproject.toml", ROOT / "README.md", ROOT / "LICENSE", CORE]

    def build_wheel() -> None:
        copy, target = BUILD / "core-source", BUILD / "core-wheel"
        for folder in (copy, target):
            shutil.rmtree(folder, ignore_errors=True)
        for file in files_of(sources):
            place = copy / file.relative_to(ROOT)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, place)
        run([sys.executable, "-m", "pip", "wheel", "--disable-pip-version-check", "--no-deps",
             "--no-build-isolation", "-w", target, copy])  # fmt: skip

    once("building the core's wheel", BUILD / "core-wheel.stamp", digest(sources),
         [BUILD / "core-wheel"], build_wheel)  # fmt: skip


def _pack_stdlib(modules: Path) -> None:
    target = BUILD / "python" / "stdlib.zip"
    inputs = digest([TOOLS / "pack.mjs", TOOLS / "pack.py", modules / "pyodide/package.json"])
    target.parent.mkdir(exist_ok=True)

    def pack() -> None:
        run([*machine.node(), TOOLS / "pack.mjs", "stdlib", target])

    once("compiling the standard library", BUILD / "stdlib.stamp", inputs, [target], pack)


def _pack_site() -> None:
    """Resolve the wheels with micropip in the runtime itself, then compile them into one file."""
    target = BUILD / "python" / "site.zip"
    parts = [BUILD / "wheels", BUILD / "core-wheel", BUILD / "resolver"]
    inputs = digest([*parts, BUILD / "stdlib.stamp"])

    def pack() -> None:
        together = BUILD / "all-wheels"
        shutil.rmtree(together, ignore_errors=True)
        together.mkdir()
        for wheel in files_of(parts[:2]):
            shutil.copy(wheel, together)
        micropip = next((BUILD / "resolver").glob("*.whl"))
        run([*machine.node(), TOOLS / "pack.mjs", "site", together, micropip,
             BUILD / "python" / "stdlib.zip", target])  # fmt: skip

    once("resolving and compiling the core and its wheels", BUILD / "site.stamp", inputs,
         [target], pack)  # fmt: skip


def _draw_procedures() -> None:
    """Draw the procedures of the rules."""
    tools = TOOLS / "procedures"
    inputs = digest([CORE, tools])

    def draw() -> None:
        shutil.rmtree(PICTURES, ignore_errors=True)
        environment = {**os.environ, "PYTHONPATH": str(CORE)}
        run([sys.executable, tools / "graph.py", PICTURES], env=environment)

    once("drawing the procedures", BUILD / "procedures.stamp", inputs, [PICTURES], draw)


def _write(modules: Path) -> None:
    files: dict[str, bytes] = {}
    imported: set[str] = set()
    for source in files_of([SHELL]):
        path = source.relative_to(SHELL).as_posix()
        if path.split("/")[0] in NOT_SHIPPED or path.endswith((".d.ts", ".json")):
            continue
        content = source.read_bytes()
        if path.endswith(".js") and path != "service-worker.js":
            content = rewrite(path, content.decode(), imported).encode()
        files[path] = worded(path, content)
    _vendor(modules, imported, files)
    for name in RUNTIME:
        files[f"runtime/{name}"] = (modules / "pyodide" / name).read_bytes()
    for name in ("stdlib.zip", "site.zip"):
        files[f"runtime/{name}"] = (BUILD / "python" / name).read_bytes()
    lock = json.loads((modules / "pyodide/pyodide-lock.json").read_bytes())
    files["runtime/lock.json"] = json.dumps({**lock, "packages": {}}).encode()
    files[f"fonts/{FONT_FILE}"] = (modules / FONT / "files" / FONT_FILE).read_bytes()
    files["scenarios.json"] = _scenarios()
    for picture in files_of([PICTURES]):
        files[f"procedures/{picture.name}"] = picture.read_bytes()
    _licences(modules, files)
    check_links(files)
    _for_the_host(files)
    files["service-worker.js"] = _service_worker(files)
    _sync(files)


def words() -> dict[str, str]:
    """The shell's words for what imports no module: page, manifest, service worker."""
    read: dict[str, str] = json.loads((SHELL / "draw/words/page.json").read_text("utf-8"))
    return {**read, "language": LANGUAGE}


def worded(path: str, content: bytes) -> bytes:
    """A file of the shell, each {{name}} of the page and the manifest as its words.

    Raises ``Stop`` for a name without words.
    """
    written = WORDED.get(Path(path).suffix)
    if written is None:
        return content
    known = words()

    def word(match: re.Match[str]) -> str:
        if match[1] not in known:
            raise Stop(
                f"webshell/{path} names the words {match[1]}, which page.json does not hold."
            )
        return written(known[match[1]])

    return re.sub(r"\{\{(\w+)\}\}", word, content.decode()).encode()


def rewrite(path: str, text: str, imported: set[str]) -> str:
    """Turn bare names of packages into relative paths: browsers' workers know no import map."""

    def relative(match: re.Match[str]) -> str:
        name = match[3]
        if not name or name.startswith("."):
            return match[0]
        package, _, inner = name.partition("/")
        if package not in PACKAGES:
            raise Stop(f"webshell/{path} imports {name}, which is not a package of the app.")
        main, folder = PACKAGES[package]
        target = f"{folder}/{inner or main}"
        imported.add(f"{package}/{inner or main}")
        up = "../" * path.count("/") or "./"
        return f"{match[1]}{match[2]}{up}{target}{match[2]}"

    return IMPORT.sub(relative, text)


def _vendor(modules: Path, imported: set[str], files: dict[str, bytes]) -> None:
    """Copy the modules that the shell imports, and those that they import, as they are."""
    left = sorted(name for name in imported if not name.startswith("pyodide/"))
    while left:
        name = left.pop()
        package, _, inner = name.partition("/")
        target = f"{PACKAGES[package][1]}/{inner}"
        if target in files:
            continue
        source = modules / name
        if not source.is_file():
            raise Stop(f"The shell imports {name}, which the npm package does not hold.")
        files[target] = source.read_bytes()
        for match in IMPORT.finditer(source.read_text()):
            if not match[3]:
                continue
            found = os.path.normpath(source.parent / match[3])
            left.append(Path(found).relative_to(modules).as_posix())


def _scenarios() -> bytes:
    """All practice cars as JSON, sorted by file name."""
    cars = sorted((ROOT / "demo_scenarios").glob("*.toml"))
    read = [tomllib.loads(car.read_text(encoding="utf-8")) for car in cars]
    return json.dumps(read, ensure_ascii=False, default=str).encode()


def _licences(modules: Path, files: dict[str, bytes]) -> None:
    """The texts that must travel with the parts, and a list of the parts."""
    parts = [("weeptrace", "", "Apache-2.0", (ROOT / "LICENSE").read_bytes())]
    for name in ("lit-html", "idb", FONT):
        about = json.loads((modules / name / "package.json").read_bytes())
        text = (modules / name / "LICENSE").read_bytes()
        parts.append((name.split("/")[-1], about["version"], about["license"], text))
    version = json.loads((modules / "pyodide/package.json").read_bytes())["version"]
    texts = SHELL / "licences"
    parts.append(("pyodide", version, "MPL-2.0", (texts / "MPL-2.0.txt").read_bytes()))
    parts.append(("python", "3.14", "PSF-2.0", (texts / "Python.txt").read_bytes()))
    for wheel in files_of([BUILD / "wheels"]):
        with zipfile.ZipFile(wheel) as archive:
            found = [n for n in archive.namelist() if re.search(r"dist-info/.*LICEN[CS]E", n)]
            text = b"\n".join(archive.read(name) for name in sorted(found))
        if not text:
            raise Stop(f"{wheel.name} holds no licence text.")
        name, version = wheel.name.split("-")[:2]
        parts.append((name, version, "see the text", text))
    lines = ["The parts of this app and their licences.", ""]
    for name, version, licence, text in parts:
        files[f"licences/{name}.txt"] = text
        lines.append(f"{name} {version}: {licence} (licences/{name}.txt)".replace("  ", " "))
    lines += ["", "Pyodide is used unchanged; its authors publish its source under that name and",
              "version. Its Python files here are compiled copies of that release."]  # fmt: skip
    files["licences/index.txt"] = "\n".join([*lines, ""]).encode()


def check_links(files: dict[str, bytes]) -> None:
    """Refuse a file of the shell that names another one which is not there."""
    kinds = {
        ".js": re.compile(r"""\b(?:from|import)\s*\(?\s*["'](\.[^"'\n]+)["']"""),
        ".css": re.compile(r"""url\(["']?([^"')]+)["']?\)|@import\s+["']([^"']+)["']"""),
        ".html": re.compile(r"""\b(?:src|href)="([^"#]+)"(?!\s*data-)"""),
        ".webmanifest": re.compile(r""""src":\s*"([^"]+)\""""),
    }
    faults = []
    for path, content in files.items():
        pattern = kinds.get(Path(path).suffix)
        if pattern is None or path.startswith(("vendor/", "runtime/")):
            continue
        for match in pattern.finditer(COMMENT.sub("", content.decode())):
            name = next(group for group in match.groups() if group)
            if name.startswith(("data:", "#")):
                continue
            target = os.path.normpath(Path(path).parent / name)
            if target not in files and name not in (".", "./"):
                faults.append(f"webshell/{path} names {name}, which is not there.")
    if faults:
        raise Stop("\n".join(faults))


def headers() -> dict[str, str]:
    """The headers that every answer of a host should carry."""
    read: dict[str, str] = json.loads((TOOLS / "headers.json").read_text())
    return read


def _for_the_host(files: dict[str, bytes]) -> None:
    """Samples of the headers, as two common kinds of host want them."""
    lines = [f"  {name}: {value}" for name, value in headers().items()]
    fresh = "  Cache-Control: no-store"
    files["_headers"] = "\n".join(["/*", *lines, "/service-worker.js", fresh, ""]).encode()
    nginx = "\n".join(f'add_header {name} "{value}" always;' for name, value in headers().items())
    template = (TOOLS / "hosting.md").read_text()
    files["hosting.md"] = template.replace("HEADERS_FOR_NGINX", nginx).encode()


def _service_worker(files: dict[str, bytes]) -> bytes:
    """The service worker with its release: the hash of every file that the phone keeps."""
    kept = {path: hashlib.sha256(files[path]).hexdigest()
            for path in sorted(files) if path not in FOR_THE_HOST}  # fmt: skip
    said = {name: words()[name] for name in SAID_BY_WORKER}
    about = json.dumps([kept, headers(), said, files["service-worker.js"].decode()])
    release = hashlib.sha256(about.encode()).hexdigest()[:12]
    told = {"release": release, "headers": headers(), "words": said, "files": kept}
    written = json.dumps(told, indent=1)
    source = files["service-worker.js"].decode()
    mark = 'JSON.parse("{}")'
    if source.count(mark) != 1:
        raise Stop(f"webshell/service-worker.js must hold {mark} once, for the build to fill.")
    return source.replace(mark, written).encode()


def _sync(files: dict[str, bytes]) -> None:
    """Make dist/ hold exactly these files; unchanged ones are left alone."""
    for path, content in files.items():
        target = DIST / path
        target.parent.mkdir(parents=True, exist_ok=True)
        if not (target.is_file() and target.read_bytes() == content):
            target.write_bytes(content)
    for found in sorted(DIST.rglob("*"), reverse=True):
        if found.is_dir() and not any(found.iterdir()):
            found.rmdir()
        elif found.is_file() and found.relative_to(DIST).as_posix() not in files:
            found.unlink()
