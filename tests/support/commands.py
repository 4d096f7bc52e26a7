"""A command as a person or a script gives it: in this process, which is quick, in one of its own,
or with its questions answered at a keyboard."""

from __future__ import annotations

import contextlib
import io
import os
import re
import subprocess
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from unittest import mock

from click.testing import CliRunner

from mandrelgen.cli.app import main

Done = subprocess.CompletedProcess[str]


def here(*args: str, cwd: Path | None = None) -> Done:
    """Run the command in this process; ``cwd``: the folder it is called in. What nobody tells ends
    as in a process of its own: its traceback on standard error, exit code 1."""
    with contextlib.chdir(cwd or Path.cwd()):
        found = CliRunner().invoke(main, args, prog_name="mandrelgen")
    shown = found.stderr
    if found.exc_info and not isinstance(found.exception, SystemExit | None):
        shown += "".join(traceback.format_exception(*found.exc_info))
    return Done(args, found.exit_code, found.stdout, shown)


def program(*args: str, cwd: Path | None = None, **env: str) -> Done:
    """Run the command in a process of its own, with these variables in its environment."""
    return subprocess.run(
        [sys.executable, "-m", "mandrelgen", *args],
        capture_output=True, text=True, cwd=cwd, timeout=120, check=False, encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **env},
    )  # fmt: skip


class Keyboard(io.StringIO):
    """A terminal at which each of ``answers`` is typed once its question stands on ``screen``.
    Reading raises AssertionError where another question is asked, or one more than that."""

    def __init__(self, answers: Sequence[tuple[str, str]], screen: io.StringIO) -> None:
        super().__init__()
        self.left, self._screen, self._seen = list(answers), screen, 0

    def isatty(self) -> bool:
        """It is one."""
        return True

    def readline(self, size: int | None = -1, /) -> str:
        """The next answer."""
        asked = self._screen.getvalue()[self._seen :]
        self._seen += len(asked)
        assert self.left, f"one question more than was expected: {asked!r}"
        question, answer = self.left.pop(0)
        assert re.search(question, asked), f"{question!r} did not come, but {asked!r}"
        self._screen.write(answer + "\n")
        self._seen += len(answer) + 1
        return answer + "\n"


class _Screen(io.StringIO):
    def isatty(self) -> bool:
        return True


def answered(cwd: Path, args: Sequence[str], answers: Sequence[tuple[str, str]]) -> str:
    """Run a command at a terminal, in this process, and answer its questions (each a pattern with
    what is typed). What the screen showed. Raises AssertionError for a question that does not come,
    for one more, and if the command does not end well."""
    screen = _Screen()
    code: str | int | None = None
    keys = Keyboard(answers, screen)
    with (
        contextlib.chdir(cwd), mock.patch.multiple(sys, stdin=keys, stdout=screen, stderr=screen)
    ):  # fmt: skip
        try:
            main(list(args), prog_name="mandrelgen")
        except SystemExit as e:
            code = e.code
    assert not code, screen.getvalue()
    assert not keys.left, f"never asked: {keys.left[0][0]!r}\n{screen.getvalue()}"
    return screen.getvalue()
