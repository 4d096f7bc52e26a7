"""The ``new`` command: a pen file of what its maker said, or a starter under the maker's name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive.disk.files import create_file, exists, make_folder
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.lengths import Length
from mandrelgen.spec import new_file
from mandrelgen.spec import new_shop as shop_file
from mandrelgen.spec.cross_sizes import LIKELY
from mandrelgen.spec.new_file import SaidJoint, SaidPart, SaidPen
from mandrelgen.spec.new_shop import SaidShop
from mandrelgen.spec.placeholders import without_names
from mandrelgen.spec.schema import schema_text
from mandrelgen.spec.starters import OLD_FIXTURE, old_fixture, starter, starter_names
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.thread_aloud import in_words
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows.measured_thread import decided
from mandrelgen.workflows.read_inputs import SHOP

DEFAULT_STARTER = "heron"
# The shop that a starter needs, since its parts name what that shop measures with.
SHOPS = {"bittern": "small"}
DEMO_SHOP = "bench"
LONGEST, WIDEST = LIKELY["length"], LIKELY["diameter"]


def begin_with(stem: str, chosen: str, folder: Path) -> Path:
    """The pen file of a starter alone: a person's shop is theirs to say, and none comes with it
    but what the pen was measured with, and nobody's name. Raises InputError for an existing
    file, DiskError."""
    import tomlkit

    plain = without_names(_named(starter("pen", chosen), stem))
    tree: Any = tomlkit.parse(plain.decode("utf-8"))
    tree.pop("shop", None)
    if chosen in SHOPS:
        theirs: Any = tomlkit.parse(starter("shop", SHOPS[chosen]).decode("utf-8"))
        tree["shop"] = {"instruments": theirs["instruments"].unwrap()}
    return _create(folder, {f"{stem}.toml": tomlkit.dumps(tree).encode("utf-8")})[0]


def start(name: str, chosen: str | None, shop: SaidShop | None, folder: Path) -> tuple[Path, ...]:
    """Write ``NAME.toml`` (and ``shop.toml`` if there is none) from a starter; returns the files
    written. ``old-fixture``: a file for ``adopt``, alone. Under its own name a starter brings its
    shop; under another the shop file holds what was said.

    Raises InputError for an unfit name or an existing file, DiskError from the disk.
    """
    stem = checked_name(name)
    if chosen == OLD_FIXTURE:
        return _create(folder, {f"{stem}.toml": _named(old_fixture(), stem)})
    source = chosen or (stem if stem in starter_names("pen") else DEFAULT_STARTER)
    data = starter("pen", source)
    if stem == source and shop is None:
        return _beside(folder, stem, data, starter("shop", SHOPS.get(source, DEMO_SHOP)))
    data = without_names(_named(data, stem))
    if source in SHOPS and shop is None:
        return _beside(folder, stem, data, without_names(starter("shop", SHOPS[source])))
    return _beside(folder, stem, data, shop_file.written(shop or SaidShop()))


def write_said(pen: SaidPen, shop: SaidShop | None, folder: Path) -> tuple[Path, ...]:
    """Write the file of what was said, and shop and schemas beside it where there are none.

    Raises InputError for an existing file, DiskError.
    """
    kept = shop_file.written(shop or SaidShop())
    return _beside(folder, pen.id, new_file.written(pen), kept)


def checked_name(name: str) -> str:
    """The file's stem and the pen's id. Raises InputError if it is not fit for one."""
    stem = name.removesuffix(".toml")
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,31}", stem):
        raise _refused(
            f"'{name[:40]}' is not a name for a pen file",
            "lower-case letters, digits, dash and underscore, beginning with a letter: my-pen",
        )
    return stem


def free(name: str, folder: Path) -> str:
    """The stem, if its file is not there yet. Raises InputError."""
    stem = checked_name(name)
    if exists(folder / f"{stem}.toml"):
        raise _refused(f"{stem}.toml is already there", "choose another name, or move it away")
    return stem


def said(
    stem: str,
    parts: str | None,
    threads: Sequence[str],
    tenons: Sequence[str],
    depths: Sequence[str],
    holes: Sequence[str],
    sizes: Sequence[str],
) -> SaidPen:
    """What the options say. Raises InputError for what cannot be read or names nothing."""
    ids = [p.strip() for p in (parts or "").split(",") if p.strip()]
    threaded = dict(_pair(t, "--thread") for t in threads)
    ids = ids or [t for t in threaded if t != new_file.NIB]
    for part in ids:
        checked_part(part)
    pen = SaidPen(stem, stem.replace("-", " ").replace("_", " ").capitalize())
    pen.parts = [SaidPart(i) for i in dict.fromkeys(ids)]
    pen.joints = new_file.usual_joints([p.id for p in pen.parts])
    if "section" in ids and any(t.startswith(f"{new_file.NIB}=") for t in (*threads, *depths)):
        pen.joints.append(new_file.nib_thread())
    joints = {j.id: j for j in pen.joints}
    named = {p.id: p for p in pen.parts}
    for name, text in threaded.items():
        joint = _joint(joints, name, "--thread")
        if "=" in text:
            joint.thread, joint.readings = decided(text, f"--thread {name}")
        else:
            joint.thread = thread_text(text)
    for row, key, option in ((tenons, "tenon", "--tenon"), (depths, "depth", "--depth")):
        for name, text in (_pair(t, option) for t in row):
            setattr(_joint(joints, name, option), key, size_text(text))
    for name, text in (_pair(t, "--size") for t in sizes):
        sized = _part(named, name, "--size")
        sized.length, sized.diameter = _two(text, "--size")
    for name, text in (_pair(t, "--hole") for t in holes):
        wide, deep = _two(text, "--hole", second=False)
        _part(named, name, "--hole").hole = (wide or "", deep)
    for j in pen.joints:
        alone(j)
    return pen


def checked_part(part: str) -> str:
    """A part's name that can be its table's. Raises InputError."""
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,31}", part):
        raise _refused(f"'{part[:40]}' is not a name for a part", "write cap, barrel, section")
    return part


def thread_said(text: str) -> str:
    """A thread in words."""
    return in_words(read_thread(text))


def alone(joint: SaidJoint) -> None:
    """A thread without a neighbour that was given a tenon, or measured over its crests, is an
    external one."""
    if not joint.external and (joint.tenon is not None or "crest" in joint.readings):
        joint.external, joint.internal = joint.internal, ""


def thread_text(text: str) -> str:
    """The thread as typed. Raises InputError with what is wrong, or with both meanings."""
    try:
        read_thread(text)
    except ThreadTextError as e:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="thread.text",
                    where=text[:40],
                    message=e.message,
                    remedy=e.remedy,
                )
            ]
        ) from e
    return text.strip()


def thread_asked(text: str) -> str:
    """A thread as typed on a terminal; words such as *only calipers* mean that it is not known
    (``?``). Raises InputError."""
    return "?" if re.search(r"calip|measur|know", text, re.I) else thread_text(text)


def size_text(text: str) -> str:
    """A size as typed. Raises InputError."""
    try:
        if Length.parse(text) <= 0:
            raise ValueError(f"{text[:40]} is not above 0")
    except ValueError as e:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="value.wrong",
                    where=text[:40],
                    message=str(e),
                    remedy="write mm: 12.5",
                )
            ]
        ) from e
    return text.strip()


def doubted(text: str, most: float) -> str:
    """The size with its decimal point a place further left, where it is larger than such a part
    ever is; else empty."""
    value = float(Length.parse(text))
    return f"{value / 10:g}" if value > most else ""


def _pair(text: str, option: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise _refused(f"{option} {text[:40]} is not NAME=VALUE", f"write {option} cap=…")
    return name.strip(), value.strip()


def _two(text: str, option: str, second: bool = True) -> tuple[str | None, str | None]:
    found = re.split(r"\s*[x×*]\s*", text)
    if len(found) == 1 and not second:
        return size_text(found[0]), None
    if len(found) != 2:
        raise _refused(f"{option} {text[:40]} is not two sizes", f"write {option} cap=60x14")
    return size_text(found[0]), size_text(found[1])


def _joint(joints: dict[str, SaidJoint], name: str, option: str) -> SaidJoint:
    if name not in joints:
        raise _refused(
            f"{option} {name[:40]}: there is no such joint",
            f"joints of these parts: {', '.join(joints) or 'none'}",
        )
    return joints[name]


def _part(parts: dict[str, SaidPart], name: str, option: str) -> SaidPart:
    if name not in parts:
        raise _refused(f"{option} {name[:40]}: there is no such part", f"parts: {', '.join(parts)}")
    return parts[name]


def _named(data: bytes, stem: str) -> bytes:
    return re.sub(rb'(?m)\bid = "[^"]*"', f'id = "{stem}"'.encode(), data, count=1)


def _beside(folder: Path, stem: str, data: bytes, shop: bytes) -> tuple[Path, ...]:
    """The pen's file with what goes beside it where it is not there yet."""
    files = {f"{stem}.toml": _with_schema(data, "pen")}
    if not exists(folder / SHOP):
        files[SHOP] = _with_schema(shop, "shop")
    for kind in ("pen", "shop"):
        name = f"schema/{kind}.schema.json"
        if not exists(folder / name):
            files[name] = schema_text(kind).encode()
    return _create(folder, files)


def _with_schema(data: bytes, kind: str) -> bytes:
    line = new_file.SCHEMA_LINE.format(kind=kind).encode()
    return data if data.startswith(b"#:schema") else line + b"\n" + data


def _create(folder: Path, files: dict[str, bytes]) -> tuple[Path, ...]:
    first = next(iter(files))
    if exists(folder / first):
        raise _refused(f"{first} is already there", "choose another name, or move it away")
    paths = []
    for name, content in files.items():
        path = folder / name
        make_folder(path.parent)
        if not create_file(path, content):
            raise _refused(f"{path.name} is already there", "choose another name")
        paths.append(path)
    return tuple(paths)


def _refused(message: str, remedy: str) -> InputError:
    return InputError(
        [Finding(level=Level.ERROR, code="new.name", where="new", message=message, remedy=remedy)]
    )
