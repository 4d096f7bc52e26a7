"""``check --mend``: a remedy that was tried goes into the pen file, its comments kept."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive.disk.files import read_file, write_file
from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import InputError, Remedy
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.patch import patched_text
from mandrelgen.spec.read import effective_shop, read_pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.read_inputs import Inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench


@dataclass(frozen=True, slots=True)
class Mended:
    """What was written: the new text, what each remedy says, the difference line by line."""

    text: bytes
    says: tuple[str, ...]
    difference: str


def mend(path: Path, inputs: Inputs, wanted: Sequence[str]) -> Mended:
    """Write the first remedy of each wanted finding (``CODE`` or ``CODE@WHERE``) into the pen
    file, one after the other, each judged on the pen as the ones before left it.

    Raises InputError, and writes nothing, for a finding that is not there or has no remedy, and
    if the file changed since it was read; DiskError.
    """
    base = inputs.own_shop
    text, says = inputs.pen_bytes, []
    for name in wanted:
        for remedy in _chosen(text, base, path.name, name):
            text = _written(text, remedy)
            says.append(remedy.says)
    # What is written is read first: a pen that cannot be read would be worse than the finding.
    read_pen(text, path.name)
    if read_file(path) != inputs.pen_bytes:
        raise InputError.of(
            "mend", path.name, "the file was changed while it was read", "run it again"
        )
    write_file(path, text)
    return Mended(text, tuple(says), _difference(path.name, inputs.pen_bytes, text))


def _chosen(data: bytes, base: Shop, file: str, name: str) -> list[Remedy]:
    """The first remedy of every finding that ``name`` means."""
    code, _, where = name.partition("@")
    pen = read_pen(data, file)
    findings = settled(pen, effective_shop(base, pen)).findings
    meant = [f for f in findings if f.code == code and where in ("", f.where)]
    if not meant:
        there = sorted({f"{f.code}@{f.where}" for f in findings if f.remedies})
        raise InputError.of("mend", 
            name, "there is no such finding",
            f"with a remedy there are {', '.join(there)}" if there else "there is none to mend",
        )  # fmt: skip
    found = tried(findings, Bench(data, base))
    mendable = [f for f in found if f.key in {m.key for m in meant} and f.remedies]
    if not mendable:
        raise InputError.of(
            "mend", name, "it has no remedy that was tried and holds", meant[0].line()
        )
    return [f.remedies[0] for f in mendable]


def _written(data: bytes, remedy: Remedy) -> bytes:
    bom = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    return bom + patched_text(data.decode("utf-8-sig"), remedy.changes).encode("utf-8")


def _difference(name: str, before: bytes, after: bytes) -> str:
    old, new = (d.decode("utf-8-sig").splitlines() for d in (before, after))
    return "\n".join(difflib.unified_diff(old, new, name, f"{name}, mended", n=1, lineterm=""))
