"""Serves the shell as it is in the tree, its bare imports resolved, before a fake engine."""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[2]
SHELL = ROOT / "webshell"
sys.path.insert(0, str(SHELL / "tools"))

import dist  # noqa: E402
import machine  # noqa: E402
from server import TYPES  # noqa: E402

from tests.browser.gallery.views import VIEWS  # noqa: E402

CARS = [
    {"id": "larkspur", "label": "Corvane Larkspur 2.4", "sub": "it only drips at night",
     "events": [{"after": 0, "kind": "fact", "field": "job.practice", "typed": "drips"}]},
]  # fmt: skip


def content(path: str, modules: Path) -> bytes:
    """What stands at a path of the gallery's site."""
    if path == "gallery/views.json":
        return json.dumps(VIEWS).encode()
    if path == "scenarios.json":
        return json.dumps(CARS).encode()
    if path == "engine/client.js":
        return (HERE / "fake-engine.js").read_bytes()
    if path.startswith("fonts/"):
        return (modules / dist.FONT / "files" / dist.FONT_FILE).read_bytes()
    for package, (_, folder) in dist.PACKAGES.items():
        if path.startswith(f"{folder}/"):
            return (modules / package / path.removeprefix(f"{folder}/")).read_bytes()
    read = (SHELL / path).read_bytes()
    return dist._rewrite(path, read.decode(), set()).encode() if path.endswith(".js") else read


@contextmanager
def site() -> Iterator[str]:
    """The gallery's address while it is served."""
    modules = machine.node_modules()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:  # noqa: N802 - the base class' name
            path = self.path.split("?")[0].strip("/") or "index.html"
            try:
                body, status = content(path, modules), 200
            except OSError:
                body, status = b"not here", 404
            self.send_response(status)
            for name, value in dist.headers().items():
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
