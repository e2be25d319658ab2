"""Serves ``dist/`` on this machine with the headers that a host should send."""

from __future__ import annotations

import functools
import socket
import sys
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from release import headers

TYPES = {
    ".css": "text/css", ".html": "text/html", ".js": "text/javascript", ".mjs": "text/javascript",
    ".json": "application/json", ".md": "text/plain", ".png": "image/png",
    ".svg": "image/svg+xml", ".txt": "text/plain", ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json", ".woff2": "font/woff2", ".zip": "application/zip",
}  # fmt: skip


class Handler(SimpleHTTPRequestHandler):
    """Static files with the headers of the app; nothing is kept by the browser unasked."""

    extensions_map = {"": "application/octet-stream", **TYPES}  # noqa: RUF012 - the base class' way
    protocol_version = "HTTP/1.1"

    def end_headers(self) -> None:
        """Add the headers of the app to every answer."""
        for name, value in headers().items():
            self.send_header(name, value)
        worker = self.path.split("?")[0].endswith("/service-worker.js")
        self.send_header("Cache-Control", "no-store" if worker else "no-cache")
        super().end_headers()

    def log_message(self, format: str, *arguments: object) -> None:
        """Say nothing: a page asks for many files."""


class Server(ThreadingHTTPServer):
    """A browser may hang up in the middle of a file; that is no error here."""

    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Show what went wrong, unless the other side hung up."""
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)


def serve(folder: Path, host: str, port: int) -> None:
    """Serve until interrupted."""
    handler = functools.partial(Handler, directory=str(folder))
    with Server((host, port), handler) as server:
        print(_words(host, server.server_address[1]), flush=True)
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            print("\nStopped.")


def _words(host: str, port: int) -> str:
    words = f"""
The app is at http://localhost:{port} (Ctrl+C stops it).
A browser on this machine can install it from there. A phone on the network can not: browsers keep
an app only from HTTPS or from localhost. Two ways to a phone:
  1. A cable: forward the phone's own localhost:{port} to this machine, then open
     http://localhost:{port} on the phone. On Android: adb reverse tcp:{port} tcp:{port}
     or, in a desktop Chromium: chrome://inspect, Port forwarding.
  2. HTTPS: put the folder dist/ on any host of static files (see dist/hosting.md)."""
    if host not in ("localhost", "127.0.0.1"):
        words += f"""
Open to the network as http://{socket.gethostname()}:{port}: there the app can be looked at,
but it is neither kept offline nor does its store work as on a phone."""
    return words


if __name__ == "__main__":
    serve(Path(sys.argv[1]), "localhost", int(sys.argv[2]))
