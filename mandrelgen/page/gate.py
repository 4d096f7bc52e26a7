"""What every request passes: this machine's browser alone, with our key or cookie, from our page.

Whatever is not let through gets 403 and no content: a page elsewhere learns nothing.
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import field
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

import anyio

from mandrelgen.core.frozen import dataclass

CAP = 1_000_000
"""Most bytes of one request's body."""
BODY_SECONDS = 15.0
"""How long a body may take to arrive, s."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "form-action 'self'; img-src 'self' blob: data:; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"cache-control", b"no-store"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
SAFE = frozenset({"GET", "HEAD"})
CHANGING = frozenset({"POST", "PUT", "DELETE"})
KEYED = frozenset({"/", "/health"})


@dataclass(frozen=True)
class Door:
    """What opens the page: the port it listens on, the key of its address, the cookie."""

    port: int
    key: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(32))

    @property
    def cookie_name(self) -> str:
        """With the port in it: all ports of a machine share their cookies."""
        return f"mandrelgen-{self.port}"

    @property
    def hosts(self) -> tuple[str, str]:
        """The only names it answers to."""
        return f"127.0.0.1:{self.port}", f"localhost:{self.port}"

    @property
    def address(self) -> str:
        """Where a browser opens it."""
        return f"http://127.0.0.1:{self.port}/?key={self.key}"


@dataclass(frozen=True, slots=True)
class _Request:
    method: str
    path: str
    headers: dict[str, list[str]]
    key: str

    def one(self, name: str) -> str | None:
        """A header that stands there exactly once; empty if it stands there several times."""
        found = self.headers.get(name, [])
        return None if not found else found[0] if len(found) == 1 else ""


class Gate:
    """ASGI middleware in front of the page."""

    def __init__(self, app: Any, door: Door) -> None:
        self.app, self.door = app, door

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        request = _read(scope)
        if not self._may(request):
            await _answer(send, 403)
        elif request.path == "/" and self._key(request):
            await _answer(send, 303, self._entry())
        elif request.method in CHANGING:
            await self._with_body(scope, receive, send)
        else:
            await self.app(scope, receive, _guarded(send))

    def _may(self, r: _Request) -> bool:
        host = r.one("host")
        if host not in self.door.hosts or r.method not in SAFE | CHANGING:
            return False
        origin, site = r.one("origin"), r.one("sec-fetch-site")
        if origin is not None and origin != f"http://{host}":
            return False
        keyed = r.path in KEYED and r.method in SAFE and self._key(r)
        if r.method in CHANGING and (origin is None or site != "same-origin"):
            return False
        if site not in (None, "same-origin", "none") and not keyed:
            return False
        return keyed or self._cookie(r)

    def _key(self, r: _Request) -> bool:
        return bool(r.key) and hmac.compare_digest(r.key.encode(), self.door.key.encode())

    def _cookie(self, r: _Request) -> bool:
        for text in r.headers.get("cookie", []):
            try:
                found = SimpleCookie(text).get(self.door.cookie_name)
            except CookieError:
                return False
            if found and hmac.compare_digest(found.value.encode(), self.door.cookie.encode()):
                return True
        return False

    def _entry(self) -> list[tuple[bytes, bytes]]:
        cookie = f"{self.door.cookie_name}={self.door.cookie}; Path=/; HttpOnly; SameSite=Strict"
        return [
            (b"location", b"/"), (b"set-cookie", cookie.encode()),
            (b"referrer-policy", b"no-referrer"),
        ]  # fmt: skip

    async def _with_body(self, scope: Any, receive: Any, send: Any) -> None:
        """Read the whole body first, so that none is too long or dribbles for ever."""
        try:
            with anyio.fail_after(BODY_SECONDS):
                body = await _body(scope, receive)
        except TimeoutError:
            await _answer(send, 408, [(b"connection", b"close")])
            return
        if body is None:
            await _answer(send, 413, [(b"connection", b"close")])
            return
        given = False

        async def again() -> dict[str, Any]:
            nonlocal given
            if given:
                return dict(await receive())
            given = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self.app(scope, again, _guarded(send))


def _read(scope: Any) -> _Request:
    headers: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        headers.setdefault(name.decode("latin-1"), []).append(value.decode("latin-1"))
    try:
        asked = parse_qs(scope["query_string"].decode("latin-1"), max_num_fields=50)
    except ValueError:  # more fields than any page of ours asks with
        asked = {}
    keys = asked.get("key", [])
    key = keys[0] if len(keys) == 1 else ""
    return _Request(scope["method"], scope["path"], headers, key)


async def _body(scope: Any, receive: Any) -> bytes | None:
    """The body, or None if it is longer than :data:`CAP`."""
    for name, value in scope["headers"]:
        if name == b"content-length" and (not value.isdigit() or int(value) > CAP):
            return None
    chunks, size, more = [], 0, True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        chunk = message.get("body", b"")
        size += len(chunk)
        if size > CAP:
            return None
        chunks.append(chunk)
        more = message.get("more_body", False)
    return b"".join(chunks)


def _guarded(send: Any) -> Any:
    async def out(message: Any) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message["headers"]}
            extra = [h for h in HEADERS if h[0] not in own]
            if b"referrer-policy" not in own:
                extra.append((b"referrer-policy", b"same-origin"))
            message = {**message, "headers": [*message["headers"], *extra]}
        await send(message)

    return out


async def _answer(send: Any, status: int, more: list[tuple[bytes, bytes]] | None = None) -> None:
    """An answer without content."""
    headers = [(b"content-length", b"0"), *HEADERS, *(more or [])]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
