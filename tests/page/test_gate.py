"""The page is closed by default: each item is attacked, on a server that really runs."""

from __future__ import annotations

import contextlib
import json
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from mandrelgen.page import gate, serve
from tests.support.bench_page import Address, folder_with, served, served_here

PATHS = ("/", "/health", "/shop", "/archive", "/pens/heron/pen", "/assets/style.css", "/nothing")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Address]:
    with served_here(folder_with(tmp_path_factory.mktemp("pens"), "heron")) as found:
        yield found


def refused(answer: httpx.Response) -> None:
    assert answer.status_code == 403
    assert answer.content == b""
    assert "set-cookie" not in answer.headers


def raw(port: int, text: bytes, wait: float = 5.0) -> bytes:
    """What the server answers to these very bytes."""
    with socket.create_connection(("127.0.0.1", port), timeout=wait) as s:
        s.sendall(text)
        out = b""
        try:
            while chunk := s.recv(65536):
                out += chunk
        except TimeoutError:
            pass
        return out


def test_the_first_line_is_the_address_and_health_answers_ok(page: Address) -> None:
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?key=[\w-]{20,}", page.address)
    answer = httpx.get(f"{page.base}/health", params={"key": page.key}, trust_env=False)
    assert (answer.status_code, answer.text) == (200, "ok")


def test_it_listens_on_the_loopback_alone(page: Address) -> None:
    """By what the kernel says (proc(5), net/tcp): 0100007F is 127.0.0.1."""
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("only Linux tells")
    port = f"{page.port:04X}"
    mine = [r.split()[1] for r in table.read_text().splitlines()[1:] if r.split()[3] == "0A"]
    assert [a for a in mine if a.endswith(f":{port}")] == [f"0100007F:{port}"]
    six = Path("/proc/net/tcp6")
    if six.exists():
        rows = [r.split() for r in six.read_text().splitlines()[1:]]
        assert not [r for r in rows if r[1].endswith(f":{port}") and r[3] == "0A"]


@pytest.mark.parametrize("path", PATHS)
def test_without_key_or_cookie_there_is_nothing(page: Address, path: str) -> None:
    refused(httpx.get(page.base + path, trust_env=False))
    refused(httpx.get(page.base + path, params={"key": "x" * 43}, trust_env=False))
    refused(httpx.get(page.base + path, params={"key": ""}, trust_env=False))
    refused(httpx.get(page.base + path, params={"key": [page.key, page.key]}, trust_env=False))


@pytest.mark.parametrize("path", [p for p in PATHS if p not in ("/", "/health")])
def test_the_key_opens_the_door_alone(page: Address, path: str) -> None:
    refused(httpx.get(page.base + path, params={"key": page.key}, trust_env=False))


def test_the_key_becomes_a_cookie_and_leaves_the_address(page: Address) -> None:
    answer = httpx.get(page.address, trust_env=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["cache-control"] == "no-store"
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"mandrelgen-{page.port}=")
    assert page.key not in cookie
    for word in ("HttpOnly", "SameSite=Strict", "Path=/"):
        assert word in cookie


@pytest.mark.parametrize("path", ["/", "/shop", "/pens/heron/pen", "/assets/page.js", "/nothing"])
def test_every_answer_carries_the_headers_that_close_it(page: Address, path: str) -> None:
    with page.client() as client:
        answer = client.get(path)
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "*" not in policy
    for part in ("base-uri 'none'", "frame-ancestors 'none'", "script-src 'self'"):
        assert part in policy
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "same-origin"
    assert "server" not in answer.headers


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1", "localhost", "127.0.0.1:1", "0.0.0.0:{port}", "[::1]:{port}",
     "127.0.0.1.evil.example:{port}", "LOCALHOST:{port}", "127.0.0.1:{port}.", ""],
)  # fmt: skip
def test_another_host_name_gets_nothing_even_with_the_cookie(page: Address, host: str) -> None:
    """DNS rebinding: a foreign name that resolves to this machine."""
    with page.client() as client:
        for path in PATHS:
            refused(client.get(path, headers={"host": host.format(port=page.port)}))
        named = {"host": host.format(port=page.port)}
        refused(client.get("/", params={"key": page.key}, headers=named))


def test_two_host_headers_get_nothing(page: Address) -> None:
    with page.client() as client:
        cookie = "; ".join(f"{k}={v}" for k, v in client.cookies.items())
    text = (
        f"GET /shop HTTP/1.1\r\nHost: {page.host}\r\nHost: evil.example\r\nCookie: {cookie}\r\n"
        "Connection: close\r\n\r\n"
    )
    answer = raw(page.port, text.encode())
    assert answer.split(b" ")[1] in (b"400", b"403")
    assert b"My shop" not in answer


FOREIGN = ["null", "http://evil.example", "https://{host}", "http://localhost", "http://127.0.0.1:1",
           "http://{host}.evil.example", ""]  # fmt: skip


@pytest.mark.parametrize("origin", FOREIGN)
def test_a_foreign_origin_reads_nothing_and_changes_nothing(page: Address, origin: str) -> None:
    head = {"origin": origin.format(host=page.host)}
    with page.client() as client:
        before = client.get("/pens/heron/pen").text
        refused(client.get("/pens/heron/pen", headers=head))
        for path in ("/pens/heron/pen/set", "/pens", "/shop", "/pens/heron/make"):
            refused(client.post(path, headers=head, data={"key": "parts.cap.length", "value": "1"}))
        refused(httpx.get(page.address, headers=head, trust_env=False))
        assert client.get("/pens/heron/pen").text == before


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
def test_a_change_needs_our_origin_and_a_request_from_our_page(page: Address, method: str) -> None:
    with page.client() as client:
        del client.headers["origin"]
        refused(client.request(method, "/shop"))
        client.headers["origin"] = page.base
        del client.headers["sec-fetch-site"]
        refused(client.request(method, "/shop"))
        for site in ("cross-site", "same-site", "none", ""):
            refused(client.request(method, "/shop", headers={"sec-fetch-site": site}))


def test_another_page_of_this_machine_reads_nothing(page: Address) -> None:
    with page.client() as client:
        for site in ("cross-site", "same-site"):
            refused(client.get("/pens/heron/pen", headers={"sec-fetch-site": site}))


@pytest.mark.parametrize("method", ["OPTIONS", "TRACE", "PATCH", "CONNECT", "WHATEVER"])
def test_other_methods_get_nothing(page: Address, method: str) -> None:
    answer = raw(page.port, f"{method} / HTTP/1.1\r\nHost: {page.host}\r\n\r\n".encode(), 1.0)
    assert answer.split(b" ")[1] in (b"400", b"403")
    assert b"Start" not in answer


TRAVEL = ["..", "../shop", "..%2fshop", "%2e%2e%2fshop", "....//shop", "heron.toml", "shop", ".",
          "/etc/passwd", "%2fetc%2fpasswd", "heron%00", "C:%5cx", "heron/../heron"]  # fmt: skip


@pytest.mark.parametrize("name", TRAVEL)
def test_an_id_never_becomes_a_path(page: Address, name: str) -> None:
    with page.client() as client:
        for path in (
            f"/pens/{name}/pen", f"/pens/heron/sheet/{name}", f"/pens/heron/drawing/{name}",
            f"/pens/heron/orders/{name}", f"/assets/{name}", f"/pens/heron/{name}",
        ):  # fmt: skip
            text = (
                f"GET {path} HTTP/1.1\r\nHost: {page.host}\r\nConnection: close\r\nCookie: "
                f"mandrelgen-{page.port}={client.cookies[f'mandrelgen-{page.port}']}\r\n\r\n"
            )
            answer = raw(page.port, text.encode())
            assert answer.split(b" ")[1] in (b"400", b"404", b"303", b"307"), path
            assert b"root:" not in answer
            assert b"[[collets]]" not in answer


@pytest.mark.parametrize(
    "key", ["pen.id", "schema", "shop.name", "../x", "parts", "parts.cap", "parts.cap.ends",
            "mandrels.requests.0.id", "parts.cap.ends.mouth.bore.99.depth", "__proto__", ""]
)  # fmt: skip
def test_only_a_box_of_the_page_can_be_set(
    page: Address,
    key: str,
) -> None:
    with page.client() as client:
        answer = client.post("/pens/heron/pen/set", data={"key": key, "value": "5"})
        assert answer.status_code == 404


def test_a_body_is_capped_whether_its_length_is_said_or_not(page: Address) -> None:
    big = b"key=" + b"x" * (gate.CAP + 10)
    with page.client() as client:
        form = {"content-type": "application/x-www-form-urlencoded"}
        assert client.post("/pens", content=big, headers=form).status_code == 413
        chunks = (big[n : n + 50_000] for n in range(0, len(big), 50_000))
        # It may answer and close while we still send.
        with contextlib.suppress(httpx.WriteError, httpx.RemoteProtocolError, httpx.ReadError):
            assert client.post("/pens", content=chunks, headers=form).status_code == 413
        assert client.get("/health").text == "ok"


def test_a_body_that_dribbles_and_a_connection_that_says_nothing_are_ended(
    page: Address, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert max(serve.HEAD_SECONDS, gate.BODY_SECONDS) <= 15.0  # a tenth of it is waited for here
    monkeypatch.setattr(serve, "HEAD_SECONDS", serve.HEAD_SECONDS / 10)
    monkeypatch.setattr(gate, "BODY_SECONDS", gate.BODY_SECONDS / 10)
    with page.client() as client:
        cookie = f"mandrelgen-{page.port}={client.cookies[f'mandrelgen-{page.port}']}"
    silent = socket.create_connection(("127.0.0.1", page.port))
    slow = socket.create_connection(("127.0.0.1", page.port))
    slow.sendall(
        f"POST /pens HTTP/1.1\r\nHost: {page.host}\r\nOrigin: {page.base}\r\nCookie: {cookie}\r\n"
        "Sec-Fetch-Site: same-origin\r\nContent-Length: 500\r\n\r\nx".encode()
    )
    silent.settimeout(60.0)
    assert silent.recv(10) == b""
    slow.settimeout(60.0)
    assert b" 408 " in slow.recv(200)
    silent.close()
    slow.close()


def test_connections_are_capped_and_the_page_lives_on(page: Address) -> None:
    many = [
        socket.create_connection(("127.0.0.1", page.port)) for _ in range(serve.CONNECTIONS + 5)
    ]
    try:
        text = (
            f"GET /health?key={page.key} HTTP/1.1\r\nHost: {page.host}\r\nConnection: close\r\n\r\n"
        )
        until(lambda: b" 503 " in raw(page.port, text.encode()))
    finally:
        for s in many:
            s.close()
    until(lambda: b" 200 " in raw(page.port, text.encode()))


def until(true: Callable[[], bool]) -> None:
    """Wait until it is: the page takes up and lets go of connections in its own time."""
    for _ in range(600):
        if true():
            return
        time.sleep(0.1)
    raise AssertionError("it never came")


def test_two_pages_on_two_ports_do_not_open_one_another(page: Address, tmp_path: Path) -> None:
    with served(str(folder_with(tmp_path, "wren"))) as other, page.client() as mine:
        assert other.port != page.port
        jar = dict(mine.cookies.items())
        refused(httpx.get(f"{other.base}/shop", cookies=jar, trust_env=False))
        stolen = {f"mandrelgen-{other.port}": jar[f"mandrelgen-{page.port}"]}
        refused(httpx.get(f"{other.base}/shop", cookies=stolen, trust_env=False))
        refused(httpx.get(f"{other.base}/", params={"key": page.key}, trust_env=False))
        with other.client() as theirs:
            refused(theirs.post("/pens", headers={"origin": page.base}))
            assert theirs.get("/shop").status_code == 200
        assert mine.get("/shop").status_code == 200


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_it_with_exit_code_0_and_nothing_on_stderr(
    tmp_path: Path, number: int
) -> None:
    folder = folder_with(tmp_path, "heron")
    before = (folder / "heron.toml").read_bytes()
    with served(str(folder)) as found:
        with found.client() as client:
            client.get("/pens/heron/pen")
            assert found.end(number) == 0
        assert found.process.stderr is not None
        assert found.process.stderr.read() == ""
    assert (folder / "heron.toml").read_bytes() == before
    assert sorted(p.name for p in folder.iterdir()) == ["heron.toml", "shop.toml"]


def test_a_port_that_is_taken_and_a_path_that_is_none_are_told(
    page: Address, tmp_path: Path
) -> None:
    with served("--port", str(page.port), str(tmp_path)) as second:
        assert second.process.wait(30) == 3
        assert second.process.stderr is not None
        assert "is not free" in second.process.stderr.read()
    with served(str(tmp_path / "none.toml")) as third:
        assert third.process.wait(30) == 2
        assert third.process.stderr is not None
        assert "no such file" in third.process.stderr.read()


@pytest.mark.parametrize("command", ["check", "make"])
def test_check_and_make_do_not_load_the_page(tmp_path: Path, command: str) -> None:
    folder = folder_with(tmp_path, "heron")
    more = ["--only", "dxf", "--workers", "1", "--to", str(tmp_path / "o")]
    code = (
        "import sys\nfrom mandrelgen.cli.app import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as e:\n    assert e.code == 0, e.code\n"
        "wrong = {'starlette', 'uvicorn', 'jinja2', 'multipart', 'anyio'} & set(sys.modules)\n"
        "assert not wrong, wrong\nassert 'mandrelgen.page' not in sys.modules\n"
    )
    args = [command, str(folder / "heron.toml"), *(more if command == "make" else [])]
    done = subprocess.run(
        [sys.executable, "-c", code, *args], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_policy_allows_what_the_page_needs_and_nothing_else(page: Address) -> None:
    with page.client() as client:
        answer = client.get("/pens/heron/pen")
    policy = dict(
        row.strip().split(" ", 1) for row in answer.headers["content-security-policy"].split(";")
    )
    assert policy == {
        "default-src": "'none'", "script-src": "'self'", "style-src": "'self'",
        "connect-src": "'self'", "form-action": "'self'", "img-src": "'self' blob: data:",
        "base-uri": "'none'", "frame-ancestors": "'none'",
    }  # fmt: skip
    config = re.search(r"htmx-config\" content='([^']+)'", answer.text)
    assert config
    said = json.loads(config[1])
    for switch in ("allowEval", "includeIndicatorStyles", "allowScriptTags", "historyEnabled"):
        assert said[switch] is False
    assert said["historyCacheSize"] == 0
    assert said["selfRequestsOnly"] is True
    addresses = re.findall(r'(?:src|href|action|hx-get|hx-post)="([^"]*)"', answer.text)
    assert not [a for a in addresses if re.match(r"\w+:|//", a) and not a.startswith("data:,")]
