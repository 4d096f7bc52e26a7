"""The bench page that runs: in a process of its own, as a person starts it, or in a thread of this
one; its address, a client that has its cookie."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import httpx

from mandrelgen.page import serve
from mandrelgen.page.desk import Desk
from mandrelgen.page.gate import Door
from mandrelgen.spec.starters import starter


@dataclass(frozen=True)
class Address:
    """Where a page that runs is opened. ``base`` without the key."""

    address: str

    @property
    def base(self) -> str:
        parts = urlsplit(self.address)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def host(self) -> str:
        return urlsplit(self.address).netloc

    @property
    def port(self) -> int:
        return int(urlsplit(self.address).port or 0)

    @property
    def key(self) -> str:
        return parse_qs(urlsplit(self.address).query)["key"][0]

    @contextlib.contextmanager
    def client(self) -> Iterator[httpx.Client]:
        """A browser of this machine: with the cookie and the headers that ours sends."""
        with httpx.Client(base_url=self.base, timeout=60, trust_env=False) as client:
            assert client.get("/", params={"key": self.key}).status_code == 303
            client.headers.update({"origin": self.base, "sec-fetch-site": "same-origin"})
            yield client


@dataclass(frozen=True)
class Served(Address):
    """A page in a process of its own."""

    process: subprocess.Popen[str]

    def end(self, number: int = signal.SIGTERM) -> int:
        """Its exit code after a signal."""
        self.process.send_signal(number)
        return self.process.wait(30)


@contextlib.contextmanager
def served(*args: str, env: dict[str, str] | None = None) -> Iterator[Served]:
    """``mandrelgen open --no-browser`` with more arguments, until the block ends."""
    process = subprocess.Popen(
        [sys.executable, "-m", "mandrelgen", "open", "--no-browser", *args],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, **(env or {})},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        yield Served(process.stdout.readline().strip(), process)
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(30)
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()


@contextlib.contextmanager
def served_here(folder: Path) -> Iterator[Address]:
    """The page of a folder by a server in a thread of this process, until the block ends."""
    with serve.bound(0) as listening:
        door, desk = Door(listening.getsockname()[1]), Desk.at(folder, None)
        server = serve.server_of(door, desk)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        try:
            while not server.started:
                assert thread.is_alive()
                time.sleep(0.01)
            yield Address(door.address)
        finally:
            server.should_exit = True
            thread.join(60.0)
            desk.stop()
            assert not thread.is_alive()


def folder_with(folder: Path, *names: str) -> Path:
    """A folder with starters and the shop they need."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    for name in names:
        (folder / f"{name}.toml").write_bytes(starter("pen", name))
    return folder
