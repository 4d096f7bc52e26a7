"""A file system of its own, as small as a test wants it."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(tmp_path: Path, mib: int) -> Iterator[Path]:
    """An empty one of so many MiB; the test is skipped where none may be mounted."""
    folder = tmp_path / "disk"
    folder.mkdir()
    if os.name != "posix" or os.getuid() != 0 or shutil.which("mount") is None:
        pytest.skip("a file system of our own needs root and mount")
    words = ["mount", "-t", "tmpfs", "-o", f"size={mib}m", "none", str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"no file system may be mounted here: {done.stderr.strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)
