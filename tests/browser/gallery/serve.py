"""Serves the shell as it is in the tree, its bare imports resolved, before a fake engine."""

from __future__ import annotations

import json
import re
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from tests.browser.gallery.pad_views import pad_views
from tests.browser.gallery.record_views import record_views
from tests.browser.gallery.views import VIEWS

HERE = Path(__file__).parent
SHELL = HERE.parents[2] / "webshell"
MODULES = SHELL / "node_modules"
sys.path.insert(0, str(SHELL / "tools"))
import release  # noqa: E402

FONTS = MODULES / "@fontsource-variable/atkinson-hyperlegible-next/files"
HEADERS = json.loads((SHELL / "tools/headers.json").read_text())
TYPES = {
    ".css": "text/css", ".html": "text/html", ".js": "text/javascript", ".json": "application/json",
    ".png": "image/png", ".svg": "image/svg+xml", ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
}  # fmt: skip
# The main module of each package that the shell imports by its bare name.
MAIN = {"lit-html": "lit-html.js", "idb": "build/index.js"}
BARE = re.compile(r"""(from )"(lit-html|idb)(/[^"]+)?";""")
CARS = [
    {"id": "larkspur", "label": "Selwick Larkspur 2.4", "sub": "it only drips at night",
     "events": [{"after": 0, "kind": "fact", "field": "job.practice", "typed": "drips"}]},
]  # fmt: skip


def content(path: str) -> bytes:
    """What stands at a path of the gallery's site."""
    if path == "gallery/views.json":
        return json.dumps(VIEWS).encode()
    if path == "gallery/core.json":
        return json.dumps({**pad_views(), **record_views()}).encode()
    if path == "scenarios.json":
        return json.dumps(CARS).encode()
    if path == "engine/client.js":
        return (HERE / "fake-engine.js").read_bytes()
    if path.startswith("fonts/"):
        return (FONTS / path.removeprefix("fonts/")).read_bytes()
    if path.startswith("vendor/"):
        return (MODULES / path.removeprefix("vendor/")).read_bytes()
    read = (SHELL / path).read_bytes()
    if path.endswith(".js"):
        return BARE.sub(vendored, read.decode()).encode()
    return release.worded(path, read)


def vendored(match: re.Match[str]) -> str:
    """The import of a package, by its place on this site."""
    package, inner = match[2], match[3]
    return f'{match[1]}"/vendor/{package}{inner or "/" + MAIN[package]}";'


@contextmanager
def site() -> Iterator[str]:
    """The gallery's address while it is served."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            path = self.path.split("?")[0].strip("/") or "index.html"
            try:
                body, status = content(path), 200
            except OSError:
                body, status = b"not here", 404
            self.send_response(status)
            for name, value in HEADERS.items():
                self.send_header(name, value)
            self.send_header("Content-Type", TYPES.get(Path(path).suffix, "text/plain"))
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()
