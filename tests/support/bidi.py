"""Firefox by WebDriver BiDi (W3C), without a driver program: as much of it as the page's story
needs. Elements are named by CSS selectors; keys and clicks are the browser's own."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

CONTROL, TAB = "\ue009", "\ue004"


class Fox:
    """One tab of a Firefox."""

    def __init__(self, socket: Any) -> None:
        self.socket, self.number = socket, 0
        self.events: list[dict[str, Any]] = []
        self.ask("session.new", capabilities={})
        self.tab = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        self.ask("session.subscribe", events=["log.entryAdded", "network.beforeRequestSent"])

    def ask(self, method: str, **params: Any) -> Any:
        """The answer to one command; events meanwhile are kept."""
        self.number += 1
        self.socket.send(json.dumps({"id": self.number, "method": method, "params": params}))
        while True:
            message = json.loads(self.socket.recv())
            if message.get("type") == "event":
                self.events.append(message)
            elif message.get("id") == self.number:
                assert message["type"] == "success", message
                return message["result"]

    def window(self, width: int, height: int = 900) -> None:
        self.ask(
            "browsingContext.setViewport", context=self.tab,
            viewport={"width": width, "height": height},
        )  # fmt: skip

    def get(self, url: str) -> None:
        self.ask("browsingContext.navigate", context=self.tab, url=url, wait="complete")

    def run(self, script: str, *values: Any) -> Any:
        """What a function's body returns; its arguments are ``a[0]`` …"""
        inner = f"(() => {{ {script} }})()"
        body = (
            f"(() => {{ const a = {json.dumps(values)}; "
            f"return JSON.stringify({inner} ?? null) }})()"
        )
        got = self.ask(
            "script.evaluate", expression=body, target={"context": self.tab}, awaitPromise=True
        )
        assert got["type"] == "success", got
        return json.loads(got["result"]["value"])

    def wait(self, script: str, *values: Any, seconds: float = 300) -> None:
        """Until the script returns something true."""
        end = time.monotonic() + seconds
        while not self.run(script, *values):
            assert time.monotonic() < end, (script, values)
            time.sleep(0.1)

    def settled(self) -> None:
        """Nothing is asked for any more."""
        self.wait(
            "return document.readyState === 'complete' && "
            "!document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling')"
        )

    def press(self, selector: str) -> None:
        """A click of the pointer in the middle of an element."""
        x, y = self.run(
            "const e = document.querySelector(a[0]); e.scrollIntoView({block: 'center'}); "
            "const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]",
            selector,
        )
        at = {"type": "pointerMove", "x": round(x), "y": round(y)}
        row = [at, {"type": "pointerDown", "button": 0}, {"type": "pointerUp", "button": 0}]
        self.ask(
            "input.performActions", context=self.tab,
            actions=[{"type": "pointer", "id": "mouse", "actions": row}],
        )  # fmt: skip

    def keys(self, text: str, held: str = "") -> None:
        """Keys to what has the focus, one after the other, ``held`` down meanwhile."""
        row = [{"type": "keyDown", "value": held}] if held else []
        for one in text:
            row += [{"type": "keyDown", "value": one}, {"type": "keyUp", "value": one}]
        row += [{"type": "keyUp", "value": held}] if held else []
        self.ask(
            "input.performActions", context=self.tab,
            actions=[{"type": "key", "id": "keys", "actions": row}],
        )  # fmt: skip

    # -- what a person does, counted as in Chromium
    count = 0

    def click(self, selector: str) -> None:
        self.count += 1
        to = self.run("return document.querySelector(a[0]).href", selector)
        self.press(selector)
        # Where a link leads to is there before anything is done on it, however busy the machine.
        if to:
            self.wait("return location.href === a[0]", to)
        time.sleep(0.05)
        self.settled()

    def fill(self, selector: str, text: str) -> None:
        self.count += 1
        self.run("document.querySelector(a[0]).scrollIntoView({block: 'center'})", selector)
        self.press(selector)
        self.keys("a", CONTROL)
        self.keys(text + TAB)
        time.sleep(0.05)
        self.settled()

    def choose(self, selector: str, value: str) -> None:
        self.count += 1
        self.run(
            "const s = document.querySelector(a[0]); s.focus(); s.value = a[1]; "
            "s.dispatchEvent(new Event('change', {bubbles: true}))", selector, value,
        )  # fmt: skip
        self.settled()

    def see(self, selector: str, text: str = "", seconds: float = 60) -> None:
        self.wait(
            "return [...document.querySelectorAll(a[0])].some(e => e.innerText.includes(a[1]))",
            selector, text, seconds=seconds,
        )  # fmt: skip

    def quiet(self) -> None:
        """No error on the console, nothing asked of another machine."""
        self.run("return 1")
        bad = [
            e["params"]["text"] for e in self.events
            if e["method"] == "log.entryAdded" and e["params"]["level"] in ("error", "warn")
        ]  # fmt: skip
        assert bad == []
        urls = [
            e["params"]["request"]["url"] for e in self.events
            if e["method"] == "network.beforeRequestSent"
        ]  # fmt: skip
        assert urls
        assert {u for u in urls if not u.startswith(("http://127.0.0.1:", "data:"))} == set()


@contextlib.contextmanager
def firefox() -> Iterator[Fox]:
    """A Firefox without a window and with a profile of its own; skips where there is none."""
    websocket = pytest.importorskip("websocket")
    program = shutil.which("firefox-esr") or shutil.which("firefox")
    if not program:
        pytest.skip("no Firefox on this machine")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        (Path(profile) / "user.js").write_text(
            "".join(
                f'user_pref("{k}", {json.dumps(v)});\n'
                for k, v in {
                    "app.normandy.enabled": False,
                    "app.update.enabled": False,
                    "browser.safebrowsing.malware.enabled": False,
                    "browser.safebrowsing.phishing.enabled": False,
                    "datareporting.policy.dataSubmissionEnabled": False,
                    "network.captive-portal-service.enabled": False,
                    "network.connectivity-service.enabled": False,
                    "extensions.update.enabled": False,
                    "services.settings.server": "",
                    "browser.shell.checkDefaultBrowser": False,
                }.items()
            )
        )
        process = subprocess.Popen(
            [program, "--headless", "--no-remote", "--profile", profile,
             "--remote-debugging-port", "0"],
            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            assert process.stderr is not None
            for line in process.stderr:
                if found := re.search(r"listening on (ws://\S+)", line):
                    break
            else:
                raise AssertionError("Firefox does not listen")
            socket = websocket.create_connection(
                f"{found[1]}/session", timeout=120, suppress_origin=True
            )
            yield Fox(socket)
            socket.close()
        finally:
            process.kill()
            process.wait(30)
            if process.stderr is not None:
                process.stderr.close()
