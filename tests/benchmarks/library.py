"""The anchor for a general thread library plus fuse, in an environment of its own.

The library (bd_warehouse on build123d) wants another version of the CAD kernel than ours, so it
gets a virtual environment in a temporary folder; the rows take minutes and are asked for with
`--library`. `--library-python` names a Python that has it already.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks import threads

PACKAGE = "bd_warehouse==0.4.0"
PIECE = Path(__file__).parent / "library_piece.py"


@contextlib.contextmanager
def environment(python: str | None) -> Iterator[str]:
    """A Python that has the library; made in a temporary folder unless one is named."""
    if python is not None:
        yield python
        return
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, "-m", "venv", folder], check=True)
        own = str(Path(folder) / "bin" / "python")
        install = ["-m", "pip", "install", "-q", "--disable-pip-version-check", PACKAGE]
        subprocess.run([own, *install], check=True)
        yield own


@contextlib.contextmanager
def pair(
    python: str, starts: int = 3
) -> Iterator[tuple[str, Callable[[], None], Callable[[], None]]]:
    """Name, our way, the library's way in a process that has done its imports already. What the
    library makes is printed beside the closed form: it may be wrong."""
    from mandrelgen.geometry.kernel import build
    from mandrelgen.geometry.mesh import exact

    thread = threads.form(starts, True, False)
    part = threads.profile(thread)
    wanted = exact.volume(part)
    sizes = (
        thread.crest_diameter / 2, thread.root_diameter / 2, thread.crest_flat,
        thread.pitch - thread.root_flat, thread.pitch, threads.LENGTH,
    )  # fmt: skip
    command = [python, str(PIECE), str(starts), "right", *map(str, sizes)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        send, answer = process.stdin, process.stdout

        def ours() -> None:
            build.build(part)

        def theirs() -> None:
            send.write("\n")
            send.flush()
            said.append(answer.readline())
            if not said[-1]:
                raise RuntimeError("the library's process ended")

        said: list[str] = []
        yield f"thread solid, {starts} starts / thread library: times faster", ours, theirs
        send.close()
    volume, solids, valid = said[-1].split()
    print(
        f"  the library's piece: volume {float(volume) / wanted - 1:+.4%} of the closed form, "
        f"{solids} solid(s), its own check says {valid}"
    )
