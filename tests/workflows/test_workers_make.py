"""`make` with workers: the same bytes however many there are, Ctrl-C, deaths of either side."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from mandrelgen.archive.disk.files import TEMP_PREFIX
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.batch import make_all
from mandrelgen.workflows.make_options import MakeOptions
from tests.support.archived import DAY
from tests.support.commands import here, program
from tests.support.killing import hear_ctrl_c
from tests.support.renamed import renamed
from tests.workflows.test_make import state

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork") or sys.platform == "darwin", reason="workers need fork"
)


@pytest.fixture
def pen(tmp_path: Path) -> Path:
    """The wren and its shop."""
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    (tmp_path / "wren.toml").write_bytes(starter("pen", "wren"))
    return tmp_path / "wren.toml"


@contextlib.contextmanager
def started(pen: Path, *extra: str) -> Iterator[subprocess.Popen[str]]:
    """`make` with two workers, leader of a group of its own as a shell makes it."""
    out = str(pen.parent / "out")
    command = [sys.executable, "-m", "mandrelgen", "make", str(pen), "--to", out, "--date", DAY,
               "--progress", "--workers", "2", *extra]  # fmt: skip
    with subprocess.Popen(
        command, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True,
        preexec_fn=hear_ctrl_c,
    ) as process:  # fmt: skip
        yield process


def wait_for(process: subprocess.Popen[str], word: str) -> None:
    assert process.stderr is not None
    while word not in (line := process.stderr.readline()):
        assert line, "ended before"


def workers_of(pid: int) -> list[int]:
    """The children of ``pid``."""
    return [int(p) for p in Path(f"/proc/{pid}/task/{pid}/children").read_text("ascii").split()]


def check_nothing_but_whole(out: Path) -> None:
    """No half package, no temporary file; if anything stands there it verifies."""
    assert not list(out.glob(f"{TEMP_PREFIX}*"))
    whole = list(out.glob("MG-*/*"))
    assert all((p / "manifest.json").exists() for p in whole)
    assert len(whole) in (0, 3)
    if whole:
        assert here("verify", str(out)).returncode == 0


def check_next_run_heals(pen: Path) -> None:
    out = pen.parent / "out"
    again = here("make", str(pen), "--to", str(out), "--date", DAY)
    assert again.returncode == 0, again.stderr
    assert len(list(out.glob("MG-*/A"))) == 3
    assert here("verify", str(out)).returncode == 0


def test_however_many_workers_the_bytes_and_the_findings_are_the_same(pen: Path) -> None:
    """Of two pens whose fixtures would do for each other: the second is read and compared with the
    archive while the first is drawn, and what is said of it names the first one's fixtures."""
    second = pen.with_name("second.toml")
    second.write_bytes(renamed("wren", "second").encode())
    bad = pen.with_name("bad.toml")
    bad.write_bytes(b"schema = 1")
    found = []
    for count in ("1", "3"):
        to = pen.parent / count
        common = ("--to", str(to), "--date", DAY, "--workers", count)
        done = program("make", str(pen), str(bad), str(second), *common, "--json")
        loose = program("make", str(pen), *common, "--only", "outline,svg")
        assert (done.returncode, loose.returncode) == (2, 0), done.stderr + loose.stderr
        files = {k: v for k, v in state(to).items() if k.startswith(("MG-", "orders"))}
        said = (done.stdout + done.stderr + loose.stdout + loose.stderr).replace(str(to), "TO")
        found.append((files, state(to / "not-issued"), said))
    assert len(found[0][0]) > 100
    assert len(found[0][1]) == 6  # two of each of the three, each on one sheet
    assert "MG-0001 A for wren cap would do" in found[0][2]
    assert found[1] == found[0]
    # Of three calls two workers leave one to the process that waits for them.
    two = program("make", str(pen), "--to", str(pen.parent / "2"), "--date", DAY, "--workers", "2",
                  "--only", "outline,svg")  # fmt: skip
    assert two.returncode == 0, two.stderr
    assert state(pen.parent / "2" / "not-issued") == found[0][1]


def test_a_worker_that_is_killed_ends_the_run_with_words_and_nothing_published(pen: Path) -> None:
    with started(pen, "--json") as process:
        wait_for(process, "drawing")
        while len(pids := workers_of(process.pid)) < 2:
            time.sleep(0.005)
        os.kill(pids[-1], signal.SIGKILL)
        out, err = process.communicate(timeout=600)
    assert process.returncode == 1, err
    assert "worker" in err
    assert "Traceback" not in err
    assert [f["code"] for f in json.loads(out)["findings"]] == ["worker.ended"]
    assert not (pen.parent / "out").exists()
    check_next_run_heals(pen)


@pytest.mark.parametrize("moment", ["start", "[1/3]"])
def test_ctrl_c_reaches_the_whole_group_and_leaves_whole_packages_only(
    pen: Path, moment: str
) -> None:
    """As a terminal sends it, to every process of the foreground group: while libraries are loaded
    and while mandrels are drawn."""
    with started(pen) as process:
        if moment == "start":
            while not workers_of(process.pid):
                time.sleep(0.005)
        else:
            wait_for(process, moment)
        os.killpg(process.pid, signal.SIGINT)
        # To the end of its standard error: no worker holds it open any longer.
        _, err = process.communicate(timeout=600)
    assert process.returncode == 130, err
    assert err.count("stopped") == 1
    assert "Traceback" not in err
    check_nothing_but_whole(pen.parent / "out")
    check_next_run_heals(pen)


def test_a_killed_parent_leaves_no_worker_behind(pen: Path) -> None:
    with started(pen) as process:
        wait_for(process, "drawing")
        while len(pids := workers_of(process.pid)) < 2:
            time.sleep(0.005)
        process.kill()
        process.communicate(timeout=600)  # until nobody holds its standard error open any longer
    left = [p for p in pids if Path(f"/proc/{p}").exists()]
    assert not [p for p in left if "mandrelgen" in Path(f"/proc/{p}/cmdline").read_text("utf-8")]
    check_next_run_heals(pen)


@pytest.mark.usefixtures("drawn_anew")
def test_an_executor_of_the_caller_draws_the_same_bytes(pen: Path) -> None:
    found = []
    with ThreadPoolExecutor(1) as own:
        for name, executor in (("own", own), ("here", None)):
            to, said = pen.parent / name, []
            asked = MakeOptions(folder=to, date=DAY, formats=("dxf", "stl"))
            (outcome,) = make_all([pen], asked, said.append, executor)
            assert outcome.code == 0
            assert [s.split("]")[0] for s in said[:2]] == ["[0/3", "[1/3"]
            found.append(state(to))
    assert found[0] == found[1]
    assert len(found[0]) == 6


def test_workers_have_loaded_what_they_need_before_the_first_call(pen: Path) -> None:
    """Else each of them would load it for itself."""
    code = """
import sys
from pathlib import Path
from mandrelgen.workflows import check as pipeline, order as ordering
from mandrelgen.workflows import package as building, parallel as workers
from mandrelgen.model.mandrel import Issue
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.files.formats import FORMATS
from mandrelgen.workflows.build import Build
checked = pipeline.check(read_inputs(Path(sys.argv[1]), None))
issue = Issue(
    number="MG-0001", revision="A", date="2026-05-31", status="in preparation",
    owner="", drawn_by="", approved_by="",
)
m = checked.designed[0].mandrel
build = Build(m, issue, ordering.turner_tables(m, checked.inputs.shop))
building.load(None, False)
loaded = set(sys.modules)
list(building.packages([build], tuple(FORMATS), False, workers.Here()))
rooms = ("mandrelgen", "ezdxf", "reportlab", "pypdfium2", "PIL.Image", "manifold3d")
late = {m for m in set(sys.modules) - loaded if m.startswith(rooms)}
print(sorted(m for m in late if not m.startswith(("mandrelgen.geometry.kernel",
      "PIL.ImageSeq", "PIL.ImageCh", "PIL.ImageFile", "PIL.ImageMath", "PIL.ImageOps",
      "reportlab.pdfbase", "reportlab.lib",
      "reportlab.pdfgen"))))
"""
    done = subprocess.run(
        [sys.executable, "-c", code, str(pen)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
