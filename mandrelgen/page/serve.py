"""The server: loopback only, a free port unless one is named, whole files when it ends."""

from __future__ import annotations

import contextlib
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from mandrelgen.core.errors import DiskError
from mandrelgen.page.app import application
from mandrelgen.page.desk import Desk
from mandrelgen.page.gate import Door, Gate

HOST = "127.0.0.1"
CONNECTIONS = 64
"""Most connections at once; one more is answered 503."""
HEAD_SECONDS = 10.0
"""How long a connection may take until its first request is there, s."""


class PromptProtocol(H11Protocol):
    """Closes a connection that says nothing."""

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._waiting = self.loop.call_later(HEAD_SECONDS, self._nothing_said)

    def _nothing_said(self) -> None:
        if self.scope is None and not self.transport.is_closing():
            self.transport.close()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._waiting.cancel()
        super().connection_lost(exc)


class Server(uvicorn.Server):
    """Ends by SIGINT and SIGTERM as a thing that went well."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Take the two signals; none is raised again behind us."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        taken = (signal.SIGINT, signal.SIGTERM)
        before = {s: signal.signal(s, self.handle_exit) for s in taken}
        try:
            yield
        finally:
            for s, handler in before.items():
                signal.signal(s, handler)


def bound(port: int) -> socket.socket:
    """A listening socket on the loopback; ``port`` 0: any free one. Raises DiskError."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((HOST, port))
        found.listen(128)
    except OSError as e:
        found.close()
        raise DiskError(
            f"port {port} of this machine is not free ({e.strerror or e})",
            "name another with --port, or leave --port out",
        ) from e
    return found


def server_of(door: Door, desk: Desk) -> Server:
    """The server of one desk."""
    config = uvicorn.Config(
        Gate(application(desk), door), http=PromptProtocol, ws="none", lifespan="off",
        access_log=False, log_level="critical", server_header=False, date_header=False,
        proxy_headers=False, limit_concurrency=CONNECTIONS, timeout_keep_alive=20,
        timeout_graceful_shutdown=3, h11_max_incomplete_event_size=32_768,
    )  # fmt: skip
    return Server(config)


def serve(
    path: Path, archive: Path | None, port: int, browser: bool, say: Callable[[str], None]
) -> None:
    """Serve until a signal ends it; ``say`` gets the address first of all. Raises InputError if
    ``path`` is no pen file and no folder, DiskError."""
    desk = Desk.at(path, archive)
    listening = bound(port)
    door = Door(listening.getsockname()[1])
    server = server_of(door, desk)
    say(door.address)
    if browser:
        threading.Thread(target=webbrowser.open, args=(door.address,), daemon=True).start()
    try:
        server.run(sockets=[listening])
    finally:
        desk.stop()
        listening.close()
