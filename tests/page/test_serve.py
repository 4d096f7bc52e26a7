"""The server itself, in this process: it begins, answers to its key alone, and ends by a signal."""

from __future__ import annotations

import os
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.page import serve
from tests.support.bench_page import Address, served_here

PATIENCE = 60.0  # s; a hang is caught, a busy machine is none


@pytest.fixture
def page(folder: Path) -> Iterator[Address]:
    with served_here(folder) as found:
        yield found


def until(true: Callable[[], object]) -> None:
    """Wait for it; a second thread does the work."""
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_its_address_opens_the_page_and_another_key_does_not(page: Address) -> None:
    with httpx.Client(follow_redirects=True) as client:
        assert client.get(page.address[:-1]).status_code == 403
        assert client.get(page.address).status_code == 200
        assert "heron" in client.get(page.base).text
    assert httpx.get(page.base).status_code == 403


def test_who_says_nothing_is_not_waited_for(page: Address, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serve, "HEAD_SECONDS", 0.05)
    with socket.create_connection((serve.HOST, page.port), timeout=PATIENCE) as silent:
        assert silent.recv(1) == b""


def test_a_port_that_is_taken_is_told(page: Address) -> None:
    with pytest.raises(DiskError, match=f"port {page.port} of this machine is not free"):
        serve.bound(page.port)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_says_where_opens_a_browser_and_ends_by_a_signal(
    folder: Path, number: signal.Signals, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    opened: list[str] = []
    monkeypatch.setattr(serve.webbrowser, "open", opened.append)
    before = signal.getsignal(number)

    def visit() -> None:
        until(lambda: said)
        until(lambda: answers(said[0]))
        os.kill(os.getpid(), number)

    visitor = threading.Thread(target=visit)
    visitor.start()
    serve.serve(folder / "heron.toml", None, 0, True, said.append)
    visitor.join(PATIENCE)
    assert opened == said
    assert signal.getsignal(number) is before
    assert not answers(said[0])


def answers(address: str) -> bool:
    """Whether somebody does there."""
    try:
        return httpx.get(address).status_code in (200, 303)
    except httpx.TransportError:
        return False


def test_what_is_neither_a_file_nor_a_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        serve.serve(tmp_path / "none.toml", None, 0, False, print)
    assert "there is no such file or folder" in caught.value.findings[0].message
