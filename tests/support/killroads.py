"""The commands that change an archive, and the archives they are run on, for
``tests/support/killing.py``."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from mandrelgen.spec.starters import starter
from mandrelgen.workflows import exchange, search
from tests.support.archived import DAY, publish_pen
from tests.support.killing import killed_everywhere

COMMANDS = ("make", "make, new archive", "import", "release", "book", "receive", "reindex")


def die(command: str, house: Path, every: int) -> int:
    """Let a command die at every ``every``-th operation; returns the number of deaths."""
    full = house / "full"
    publish_pen(full, "bittern")
    search.reindex(full)
    other = house / "other"
    publish_pen(other, "wren")
    bundle, pen = house / "other.zip", house / "wren.toml"
    exchange.export_to(other, (), bundle)
    pen.write_bytes(starter("pen", "wren"))
    (house / "shop.toml").write_bytes(starter("shop", "bench"))
    (house / "home.toml").write_text('clamps = "yes"\nscrews.1 = "yes"\nseats = "all"\n')

    def lay(root: Path) -> None:
        shutil.copytree(full, root)
        (root / "letter.txt").write_bytes(b"do not touch")

    def lay_empty(root: Path) -> None:
        root.mkdir()
        (root / "letter.txt").write_bytes(b"do not touch")

    args: dict[str, Callable[[Path], list[str]]] = {
        "make": lambda to: ["make", str(pen), "--again", "--date", DAY, "--to", str(to)],
        "import": lambda to: ["import", str(bundle), "--to", str(to)],
        "release": lambda to: ["release", "MG-0001", "--date", DAY, "--to", str(to)],
        "book": lambda to: [
            "book",
            "MG-0001",
            "asked",
            "--whom",
            "K. Tern",
            "--date",
            DAY,
            "--to",
            str(to),
        ],
        "receive": lambda to: [
            "receive",
            "MG-0001",
            "--home",
            str(house / "home.toml"),
            "--book",
            "--date",
            DAY,
            "--to",
            str(to),
        ],
        "reindex": lambda to: ["reindex", str(to)],
    }
    return killed_everywhere(
        args[command.split(",")[0]], lay_empty if "new" in command else lay, house, every
    )
