"""Runs inside Pyodide under Node: compiles Python to .pyc with the very Python that will load it.

Three quarters of a stock start is compiling source. Here the standard library is pruned and
compiled once, and so are the core and its wheels; both go into stored zips (the host compresses
them, so they are not compressed twice).
"""

from __future__ import annotations

import importlib.util
import json
import marshal
import zipfile
from pathlib import Path, PurePosixPath

# What a coolant job in a browser never imports: other programs, other machines' services, tools
# that look at source. Everything else of the standard library stays.
LEFT_OUT = {
    "_aix_support", "_android_support", "_apple_support", "_ios_support", "_osx_support",
    "_pydatetime", "_pydecimal", "_pyio", "_pyrepl", "antigravity", "bdb", "cProfile", "cmd",
    "compileall", "ctypes", "curses", "dbm", "doctest", "ensurepip", "filecmp", "fileinput",
    "ftplib", "getpass", "idlelib", "imaplib", "lib2to3", "mailbox", "mimetypes",
    "modulefinder", "multiprocessing", "netrc", "nturl2path", "optparse", "pdb", "pickletools",
    "poplib", "profile", "profiling", "pstats", "pty", "pyclbr", "pydoc", "pydoc_data",
    "rlcompleter", "sched", "shelve", "smtplib", "socketserver", "sqlite3", "symtable",
    "tabnanny", "test", "this", "timeit", "tkinter", "trace", "tracemalloc", "tty", "turtle",
    "turtledemo", "unittest", "venv", "wave", "webbrowser", "wsgiref", "xml", "xmlrpc",
    "zipapp", "zoneinfo",
}  # fmt: skip
# Text encodings: the ones that the runtime and UTF-8 text need.
ENCODINGS = {"__init__", "aliases", "ascii", "cp437", "idna", "latin_1", "raw_unicode_escape",
             "unicode_escape", "utf_8", "utf_8_sig"}  # fmt: skip
# Parts of wheels that only serve their own developers or type checkers.
LEFT_OUT_PARTS = {"testsuite", "tests", "testing"}
LEFT_OUT_NAMES = {"RECORD", "WHEEL", "INSTALLER", "py.typed", "mypy.ini", "top_level.txt",
                  "entry_points.txt"}  # fmt: skip
# Parts of the core for other programs and the tests, which nothing of the app imports.
NOT_FOR_THE_PHONE = (
    "weeptrace/hold/curve_fit.py", "weeptrace/practice/", "weeptrace/door/practice.py",
    "weeptrace/door/phone.py",
)  # fmt: skip


def stdlib(source: str, target: str) -> int:
    """Write the pruned, compiled standard library; returns how many files it holds."""
    files: dict[str, bytes] = {}
    with zipfile.ZipFile(source) as archive:
        for name in sorted(archive.namelist()):
            path = PurePosixPath(name)
            if name.endswith("/") or path.parts[0].removesuffix(".py") in LEFT_OUT:
                continue
            if path.name in LEFT_OUT_NAMES:
                continue
            if path.parts[0] == "encodings" and path.stem not in ENCODINGS:
                continue
            add(files, name, archive.read(name))
    return write(target, files)


def site(wheels: str, target: str) -> int:
    """Write the wheels' packages, compiled, with their data and metadata, into one archive."""
    files: dict[str, bytes] = {}
    for wheel in sorted(Path(wheels).glob("*.whl")):
        with zipfile.ZipFile(wheel) as archive:
            for name in sorted(archive.namelist()):
                path = PurePosixPath(name)
                left_out = path.name in LEFT_OUT_NAMES or path.suffix == ".pyi"
                left_out = left_out or name.startswith(NOT_FOR_THE_PHONE)
                if name.endswith("/") or left_out or LEFT_OUT_PARTS & set(path.parts):
                    continue
                add(files, name, archive.read(name))
    return write(target, files)


def add(files: dict[str, bytes], name: str, content: bytes) -> None:
    """Put one file into ``files``, compiled where it is Python source; never two of one name."""
    if name.endswith(".py"):
        code = compile(content, name, "exec", dont_inherit=True, optimize=0)
        flags = (1).to_bytes(4, "little")  # PEP 552: hash based, never checked against a source
        source_hash = importlib.util.source_hash(content)
        content = importlib.util.MAGIC_NUMBER + flags + source_hash + marshal.dumps(code)
        name += "c"
    if name in files:
        raise SystemExit(f"two wheels hold a file {name}")
    files[name] = content


def write(target: str, files: dict[str, bytes]) -> int:
    """Write a stored zip whose bytes depend on its content alone."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name), files[name])
    return len(files)


async def resolve(wheels: str) -> str:
    """Install the wheels with micropip, from files alone; returns what does not fit together."""
    import micropip  # type: ignore[import-not-found]

    micropip.set_index_urls([])
    left = sorted(f"emfs:{wheel}" for wheel in Path(wheels).glob("*.whl"))
    faults: dict[str, str] = {}
    while left:
        faults = {}
        for wheel in left:
            try:
                await micropip.install(wheel)
            except (ValueError, OSError, RuntimeError) as problem:
                faults[wheel] = str(problem)
        if len(faults) == len(left):
            break
        left = list(faults)
    return "\n".join(f"{wheel.rsplit('/', 1)[-1]}: {fault}" for wheel, fault in faults.items())


def try_out() -> int:
    """Import every module of the core and answer every sample, on what ships.

    Returns how many operations answered; raises where one can't.
    """
    import importlib
    import pkgutil

    import weeptrace
    from weeptrace import bridge, door

    for module in pkgutil.walk_packages(weeptrace.__path__, "weeptrace."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    if "error" in json.loads(bridge.ask("about", "{}")):
        raise SystemExit("the bridge does not answer")
    for name, operation in door.OPERATIONS.items():
        answer = door.call(name, operation.sample)
        if "error" in answer:
            raise SystemExit(f"the sample of {name} is refused: {answer['error']}")
    return len(door.OPERATIONS)
