"""A server on this machine that receives notifications, or behaves badly."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass
class Received:
    """What came in, the path of each request and its body; `status` is what it answers."""

    port: int = 0
    status: int = 200
    paths: list[str] = field(default_factory=list)
    bodies: list[dict[str, Any]] = field(default_factory=list)


@contextmanager
def receiving() -> Iterator[Received]:
    """An HTTP server that takes down whatever is posted to it."""
    received = Received()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            received.paths.append(self.path)
            received.bodies.append(json.loads(body))
            self.send_response(received.status)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        received.port = server.server_port
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield received
        server.shutdown()
        thread.join()


@contextmanager
def silent() -> Iterator[int]:
    """A port where connections are accepted and nothing is ever answered."""
    with socket.create_server(("127.0.0.1", 0), backlog=16) as listening:
        yield listening.getsockname()[1]  # the system accepts for whoever does not
