"""What a command meets at its edges: a full device behind its output, names no disk takes, signals
in its first moments, files that cost more to read than they are large. Told, never a traceback."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from mandrelgen.archive.bundle import read_bundle
from mandrelgen.cli.app import main
from mandrelgen.core.errors import InputError
from mandrelgen.core.lengths import Length
from mandrelgen.files.writers.listing import xlsx_bytes
from mandrelgen.spec.read import read_pen
from mandrelgen.spec.starters import starter
from tests.support.archived import publish_pen

LONG = "a" * 300
# A hang is caught, a slow machine is not: the attacks took seconds to for ever, now they take
# hundredths.
SECONDS = 20.0


def program(*args: object, **files: int) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "mandrelgen", *map(str, args)],
        stdout=files.get("stdout", subprocess.PIPE), stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip


def run(*args: object) -> Result:
    done = CliRunner().invoke(main, [str(a) for a in args])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


@pytest.fixture
def pen(tmp_path: Path) -> Path:
    path = tmp_path / "wren.toml"
    path.write_bytes(starter("pen", "wren"))
    return path


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
@pytest.mark.parametrize(
    "args",
    [["check", "PEN"], ["check", "PEN", "--json"], ["--help"], ["check", "--help"], ["--version"],
     ["thread", "M8x1"]],
)  # fmt: skip
def test_output_to_a_full_device_is_told(pen: Path, args: list[str]) -> None:
    with open("/dev/full", "w") as full:
        done = program(*(a.replace("PEN", str(pen)) for a in args), stdout=full.fileno())
    assert done.returncode == 3
    assert "standard output" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (["check", LONG], 2),
        (["check", "PEN", "--shop", LONG], 2),
        (["check", "PEN", "--to", LONG], 0),
        (["make", "PEN", "--to", LONG], 3),
        (["find", "--to", LONG], 2),
        (["import", LONG], 2),
        (["verify", LONG], 3),
        (["catalogue", LONG], 2),
        (["export", LONG, "--to", "ARCHIVE"], 3),
        (["labels", "--to", "ARCHIVE", "--file", LONG], 3),
        (["find", "--to", "ARCHIVE", "--file", LONG + ".csv"], 3),
        (["compare", LONG, LONG, "--to", "ARCHIVE"], 2),
        (["adopt", LONG, "--to", "ARCHIVE"], 2),
        (["receive", LONG, LONG, "--to", "ARCHIVE"], 2),
    ],
)
def test_a_name_of_300_letters_is_told(pen: Path, args: list[str], code: int) -> None:
    publish_pen(pen.parent / "archive", "bittern")
    words = {"PEN": str(pen), "ARCHIVE": str(pen.parent / "archive")}
    assert run(*(words.get(a, a) for a in args)).exit_code == code


@pytest.mark.skipif(os.name != "posix", reason="needs signals")
def test_ctrl_c_in_the_first_moments_ends_with_130(pen: Path) -> None:
    """From the moment the program has begun (Python's own start is not ours); later ones are told.
    The delays are drawn over the whole start, wherever each lands on this machine."""
    codes = set()
    code = (
        "import signal, sys\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from mandrelgen.__main__ import main\nimport mandrelgen.__main__ as m\n"
        "real = m.collect_rarely\n"
        "m.collect_rarely = lambda: (print('begun', flush=True), real())\n"
        "sys.argv = ['mandrelgen', 'check', sys.argv[1]]\nmain()"
    )
    for n in range(10):
        with subprocess.Popen(
            [sys.executable, "-c", code, str(pen)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        ) as child:
            assert child.stdout is not None
            child.stdout.readline()
            time.sleep(n * 0.05)
            child.send_signal(signal.SIGINT)
            _, err = child.communicate()
        assert b"Traceback" not in err, err
        # While Python itself shuts down, after the last line, the signal ends the process: 130 too,
        # as every shell says it (128 + 2, POSIX.1-2017, XCU 2.8.2).
        ended = child.returncode == -signal.SIGINT
        codes.add(128 + signal.SIGINT if ended else child.returncode)
    assert codes <= {130, 0, 1}
    assert 130 in codes


def test_a_key_of_20000_parts_is_told_before_it_is_read(pen: Path) -> None:
    for key in (".".join(["a"] * 20_000), ' . "b"' * 20_000, "x." * 450_000 + "y"):
        for text in (f"{key.lstrip(' .')} = 1\n", f"schema = 1\n[{key.lstrip(' .')}]\n"):
            began = time.process_time()
            with pytest.raises(InputError, match="more than 100 parts"):
                read_pen(text.encode(), "pen.toml")
            assert time.process_time() - began < SECONDS


def test_dots_that_are_no_key_are_read() -> None:
    data = starter("pen", "wren") + b"# " + b"a. " * 90 + b"\n# " + b"1.5, " * 500 + b"\n"
    assert read_pen(data, "pen.toml").pen.id == "wren"


@pytest.mark.parametrize("text", [" " * 20_000 + "x", "1" + " " * 20_000, "1 1" + " " * 20_000])
def test_a_length_of_20000_blanks_is_told(text: str) -> None:
    began = time.process_time()
    with pytest.raises(ValueError, match="is not a length"):
        Length.parse(text)
    assert time.process_time() - began < SECONDS


def test_a_zip_of_200000_names_is_told_before_it_is_read() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as bundle:
        bundle.writestr("a", b"")
    (entry,) = [out.getvalue()[out.getvalue().index(b"PK\x01\x02") :]]
    began = time.process_time()
    with pytest.raises(InputError, match="200000 files"):
        read_bundle(entry[: entry.index(b"PK\x05\x06")] * 200_000, "x.zip")
    assert time.process_time() - began < SECONDS


@pytest.mark.parametrize(
    "args",
    [["find", "--nope"], ["lathe"], ["check", "a", "b"], ["labels", "--gap", "x"], ["nothing"],
     ["find", "--bore", "wide"], ["receive"]],
)  # fmt: skip
def test_misuse_is_json_where_json_was_asked_for(args: list[str]) -> None:
    done = run(*args, "--json")
    assert done.exit_code == 2
    view = json.loads(done.stdout)
    assert [f["code"] for f in view["findings"]] == ["usage"]
    assert view["findings"][0]["level"] == "error"
    assert "Usage:" in done.stderr
    assert run(*args).stdout == ""


@pytest.mark.parametrize("note", ["a\u202eb", "a\x1b[31m", "a\nb", "a\u200bb", "\x07"])
def test_a_note_that_no_paper_shows_is_told(tmp_path: Path, note: str) -> None:
    publish_pen(tmp_path / "a", "bittern")
    done = run("withdraw", "MG-0001", "--note", note, "--to", tmp_path / "a")
    assert done.exit_code == 2
    assert f"U+{ord(next(c for c in note if not c.isprintable())):04X}" in done.stderr
    assert run("withdraw", "MG-0001", "--note", "lost, bent", "--to", tmp_path / "a").exit_code == 0


def test_a_new_line_in_a_file_name_stays_on_its_line(tmp_path: Path) -> None:
    done = run("check", tmp_path / "a\nerror: b.toml")
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 1


def test_a_linked_cache_is_not_followed(tmp_path: Path) -> None:
    publish_pen(tmp_path / "a", "bittern")
    (tmp_path / "mine").mkdir()
    (tmp_path / "a" / ".cache").symlink_to(tmp_path / "mine")
    assert "MG-0001" in run("find", "--to", tmp_path / "a").stdout
    assert run("withdraw", "MG-0001", "--to", tmp_path / "a").exit_code == 0
    publish_pen(tmp_path / "a", "wren")
    assert run("reindex", tmp_path / "a").exit_code == 3
    assert list((tmp_path / "mine").iterdir()) == []


def test_no_apostrophe_shows_in_a_workbook(tmp_path: Path) -> None:
    words = ["=1+1", "+a", "-b", "@c", "plain"]
    book = openpyxl.load_workbook(
        io.BytesIO(xlsx_bytes(["word"], [[w] for w in words], "2026-05-31", "Words"))
    )
    cells = [row[0] for row in book.active.iter_rows(min_row=2)]
    assert [c.value for c in cells] == words
    assert {c.data_type for c in cells} == {"s"}


@pytest.mark.parametrize("name", ["", "  "])
def test_an_empty_part_name_is_told(pen: Path, name: str) -> None:
    text = pen.read_text().replace("[parts.cap]", f'[parts.cap]\nname = "{name}"', 1)
    pen.write_text(text)
    done = run("check", pen)
    assert done.exit_code == 0
    assert "parts.cap.name: the name is empty; the paper says cap" in " ".join(done.stdout.split())


@pytest.mark.skipif(os.name != "posix", reason="needs signals")
@pytest.mark.parametrize(("name", "code"), [("SIGINT", 130), ("SIGTERM", 143)])
def test_a_signal_that_python_swallows_is_heard_a_moment_later(name: str, code: int) -> None:
    """In the call-back of a weak reference, as its own import has, an exception goes nowhere. The
    command is woken out of what it waits for."""
    script = (
        "import os, signal, sys, time, weakref\nfrom mandrelgen.cli.errors import guarded\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "class Thing: pass\n"
        "def swallowed(_):\n"
        f"    os.kill(os.getpid(), signal.{name})\n    [None for _ in range(1000)]\n"
        "def command():\n    thing = Thing()\n    ref = weakref.ref(thing, swallowed)\n"
        "    del thing\n    time.sleep(60)\n    return 0\n"
        "sys.exit(guarded(command, False))"
    )
    # On a busy machine the moment is over before the place that swallows is left.
    busy = (
        "import threading, time\nfrom mandrelgen.cli import stopping\n"
        "class Slow(threading.Timer):\n"
        "    def start(self):\n        super().start()\n        time.sleep(0.1)\n"
        "stopping.threading.Timer = Slow\n"
    )
    for first in ("", busy):
        done = subprocess.run(
            [sys.executable, "-c", first + script],
            capture_output=True, text=True, check=False, timeout=30,
        )  # fmt: skip
        assert done.returncode == code
        assert "Traceback" not in done.stderr
        assert "stopped" in done.stderr
