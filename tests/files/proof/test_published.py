"""What is proved is in the record, and what is false is never published: files are spoiled on their
way from the writers to the archive, as by a fault of a writer, and `make` must stop before anything
is visible. What is spoiled after publishing is found by its hash."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pypdf
import pytest
from click.testing import CliRunner

from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.assess.words import Word
from mandrelgen.cli.app import main
from mandrelgen.files import formats
from mandrelgen.files.formats import FORMATS
from mandrelgen.model.mandrel import Mandrel, ThreadForm
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import exchange, package
from mandrelgen.workflows import make as making
from mandrelgen.workflows.build import Build

DAY = "2026-05-31"
PLUG = "cap-mouth-plug"
Files = dict[str, bytes]
Spoil = Callable[[Build, Files], Files]


def pen(folder: Path) -> Path:
    """The heron and its shop."""
    (folder / "shop.toml").write_bytes(starter("shop", "bench"))
    (folder / "heron.toml").write_bytes(starter("pen", "heron"))
    return folder / "heron.toml"


@pytest.fixture(scope="module", autouse=True)
def two_mandrels() -> Iterator[None]:
    """A short set: some ordered mandrel first, then the plug whose thread has three starts."""
    every = making.designed_mandrels

    def two(checked: Any, words: Any = ()) -> Any:
        ordered = {a.planned for a in words if a.word is Word.ORDER}
        found = [m for m in every(checked, words) if m[0].id in ordered]
        return [m for m in found if m[0].id != PLUG][:1] + [m for m in found if m[0].id == PLUG]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(making, "designed_mandrels", two)
        yield


@pytest.fixture(scope="module")
def honest(
    two_mandrels: None, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, dict[str, Files]]:
    """The heron's archive, and the files its writers gave, by number."""
    folder = tmp_path_factory.mktemp("honest")
    given: dict[str, Files] = {}

    def kept(build: Build, wanted: tuple[str, ...]) -> Files:
        files = formats.write(build, wanted)
        given.setdefault(build.issue.number, {}).update(files)
        return files

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(package, "write", kept)
        done = make(folder)
    assert done.exit_code == 0, done.output
    return folder / "out", given


def make(folder: Path, *more: str) -> Any:
    """In this process, where the writers are exchanged."""
    args = ["make", str(pen(folder)), "--again", "--date", DAY, "--to", str(folder / "out")]
    return CliRunner().invoke(main, [*args, "--workers", "1", *more])


def among(build: Build, wanted: tuple[str, ...], files: Files) -> Files:
    """Those of a package's ``files`` that one call of its writers gives."""
    names = {n for f in wanted for n in (formats.name_of(build, f), formats.name_of(build, f, 2))}
    return {n: data for n, data in files.items() if n in names}


# What spoils one file


def dxf(change: Callable[[Any], None]) -> Spoil:
    """The drawing after a change by ezdxf."""

    def spoil(build: Build, files: Files) -> Files:
        name = f"{build.stem}.dxf"
        doc = ezdxf.read(io.StringIO(files[name].decode("utf-8")))
        change(doc)
        stream = io.StringIO()
        doc.write(stream)
        return {name: stream.getvalue().encode("utf-8")}

    return spoil


def dimension(doc: Any) -> Any:
    """The shank's diameter."""
    return next(
        e
        for e in doc.modelspace().query("DIMENSION")
        if e.has_xdata("MANDRELGEN") and e.get_xdata("MANDRELGEN")[0].value == "shank.diameter"
    )


def swap_limits(doc: Any) -> None:
    e = dimension(doc)
    head, tail = e.dxf.text.split("(")
    high, low = tail.rstrip(")").split("/")
    e.dxf.text = f"{head}({low}/{high})"


def override_text(doc: Any) -> None:
    dimension(doc).dxf.text = "see note"


def inches(doc: Any) -> None:
    doc.header["$INSUNITS"] = 1


def threads(ending: str, change: Callable[[ThreadForm], ThreadForm]) -> Spoil:
    """A model written from the same mandrel with another thread."""

    def changed(m: Mandrel) -> Mandrel:
        outer = tuple(
            s if s.thread is None else replace(s, thread=change(s.thread)) for s in m.outer
        )
        return replace(m, outer=outer)

    def spoil(build: Build, files: Files) -> Files:
        return formats.write(replace(build, mandrel=changed(build.mandrel)), (ending,))

    return spoil


def drop_page(build: Build, files: Files) -> Files:
    name = f"{build.stem}_making.pdf"
    reader, writer = pypdf.PdfReader(io.BytesIO(files[name])), pypdf.PdfWriter()
    assert len(reader.pages) > 1
    for page in reader.pages[:-1]:
        writer.add_page(page)
    stream = io.BytesIO()
    writer.write(stream)
    return {name: stream.getvalue()}


def cut_stl(build: Build, files: Files) -> Files:
    name = f"{build.stem}_nominal.stl"
    return {name: files[name][:-50]}


FAULTS: dict[str, tuple[Spoil, str]] = {
    "two limits swapped": (dxf(swap_limits), "shank.diameter: expected deviations"),
    "a dimension's text overridden": (dxf(override_text), "shank.diameter: expected"),
    "an inch header": (dxf(inches), "$INSUNITS: expected 4, found 1"),
    "a start dropped": (
        threads("stl", lambda t: replace(t, starts=t.starts - 1)), "edges (3 starts",
    ),
    "the wrong hand": (
        threads("3mf", lambda t: replace(t, left_hand=not t.left_hand)), "right hand",
    ),
    "a missing page": (drop_page, "page 1, sheet: expected"),
    "a truncated STL": (cut_stl, "bytes for"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_spoiled_file_stops_the_run_before_anything_is_visible(
    fault: str,
    honest: tuple[Path, dict[str, Files]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The last mandrel's file is spoiled: the fine one before it is not published either."""
    _, given = honest
    spoil, said = FAULTS[fault]
    last = "MG-0002"
    assert last == max(given)

    def spoiled(build: Build, wanted: tuple[str, ...]) -> Files:
        files = given[build.issue.number]
        if build.issue.number == last:
            files = {**files, **spoil(build, files)}
        return among(build, wanted, files)

    monkeypatch.setattr(package, "write", spoiled)
    done = make(tmp_path)
    assert done.exit_code == 1
    assert "nothing was published" in done.stderr
    assert last in done.stderr
    assert said in done.stderr
    assert not (tmp_path / "out").exists()


# What the record says


def test_the_record_says_which_checks_ran_on_every_file(
    honest: tuple[Path, dict[str, Files]],
) -> None:
    """Each file that a writer gave is named with the figures its check found; they agree with what
    pypdf, ezdxf and the STL's own header say of the published file."""
    root, _ = honest
    checks = {
        "_drawing.pdf": {"pages", "page_1_mm"},
        "_making.pdf": {"pages", "rows"},
        "_mine.pdf": {"pages", "decisions"},
        ".dxf": {"characteristics", "dimensions", "largest_difference"},
        "_outline-mid-limits.dxf": {"corners", "volume_mm3", "sizes"},
        ".png": {"width", "height"},
        ".svg": {"size_mm", "texts"},
        "_part.png": {"width", "height", "ink"},
        "_nominal.stl": {"triangles", "volume_mm3", "off_volume_percent", "sizes"},
        "_nominal.3mf": {"triangles", "volume_mm3", "off_volume_percent", "sizes"},
        ".step": {"sizes", "faces", "helical"},
        "_plain.step": {"sizes", "faces", "helical"},
    }
    assert len(checks) == len(FORMATS)
    for path in root.glob("MG-*/A/record.json"):
        folder, record = path.parent, json.loads(path.read_bytes())
        stem = f"{record['number']}_A"
        proof = record["proof"]
        names = {stem + ending: figures for ending, figures in checks.items()}
        for ending in (".png", ".svg"):  # a drawing of two sheets
            if (folder / f"{stem}_2{ending}").exists():
                names[f"{stem}_2{ending}"] = checks[ending]
        assert {n: set(figures) for n, figures in proof.items()} == names
        inputs = {"pen.toml", "shop.toml", "mandrel.json", "record.json", MANIFEST}
        assert {p.name for p in folder.iterdir()} == proof.keys() | inputs
        sheet = pypdf.PdfReader(folder / f"{stem}_drawing.pdf")
        assert proof[f"{stem}_drawing.pdf"]["pages"] == len(sheet.pages)
        drawing = ezdxf.readfile(folder / f"{stem}.dxf")  # type: ignore[attr-defined]
        drawn = [e for e in drawing.modelspace().query("DIMENSION") if e.has_xdata("MANDRELGEN")]
        assert proof[f"{stem}.dxf"]["dimensions"] == len(drawn)
        mesh = (folder / f"{stem}_nominal.stl").read_bytes()
        assert proof[f"{stem}_nominal.stl"]["triangles"] == int.from_bytes(mesh[80:84], "little")


@pytest.mark.cad
def test_the_kernel_s_proof_stands_in_the_record_if_it_was_asked_for(
    honest: tuple[Path, dict[str, Files]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from mandrelgen.files.proof import kernel

    _, given = honest
    asked: list[str] = []

    def prove(expected: Any, files: Files) -> dict[str, Any]:
        asked.append(expected.number)
        return {"asked": expected.number}

    monkeypatch.setattr(
        package, "write", lambda build, wanted: among(build, wanted, given[build.issue.number])
    )
    monkeypatch.setattr(kernel, "prove", prove)
    assert make(tmp_path, "--prove").exit_code == 0
    records = [json.loads(p.read_bytes()) for p in tmp_path.glob("out/MG-*/A/record.json")]
    assert sorted(asked) == sorted(r["number"] for r in records) == sorted(given)
    assert all(r["proof"]["deep"] == {"asked": r["number"]} for r in records)


# A changed hash


def test_a_changed_hash_is_found_before_release_import_and_export(
    honest: tuple[Path, dict[str, Files]], tmp_path: Path
) -> None:
    """One digit of a manifest, or one byte of a file it names, and nothing is taken on it."""
    root = tmp_path / "out"
    shutil.copytree(honest[0], root)
    folder = root / "MG-0001" / "A"
    exchange.export_to(root, (), tmp_path / "sound.zip")

    text = (folder / MANIFEST).read_text("utf-8")
    digest = json.loads(text)["files"]["MG-0001_A_drawing.pdf"]["sha256"]
    other = ("0" if digest[0] != "0" else "1") + digest[1:]
    (folder / MANIFEST).write_text(text.replace(digest, other), "utf-8")
    told_damaged(root, tmp_path)
    (folder / MANIFEST).write_text(text, "utf-8")
    data = bytearray((folder / "MG-0001_A_drawing.pdf").read_bytes())
    data[-20] ^= 1
    (folder / "MG-0001_A_drawing.pdf").write_bytes(data)
    told_damaged(root, tmp_path)

    with (
        zipfile.ZipFile(tmp_path / "sound.zip") as there,
        zipfile.ZipFile(tmp_path / "bad.zip", "w") as bad,
    ):
        for name in there.namelist():
            body = there.read(name)
            bad.writestr(name, body.replace(digest.encode(), other.encode()))
    done = CliRunner().invoke(
        main, ["import", str(tmp_path / "bad.zip"), "--to", str(tmp_path / "new")]
    )
    assert done.exit_code == 2
    assert not (tmp_path / "new").exists()
    words = ["import", str(tmp_path / "sound.zip"), "--to", str(tmp_path / "new")]
    assert CliRunner().invoke(main, words).exit_code == 0


def told_damaged(root: Path, folder: Path) -> None:
    """`verify`, `release` and `export` stop and name the file."""
    for args, code in (
        (["verify", str(root)], 1),
        (["release", "MG-0001", "--date", DAY, "--to", str(root)], 3),
        (["export", str(folder / "never.zip"), "--to", str(root)], 3),
    ):
        done = CliRunner().invoke(main, args)
        assert done.exit_code == code, (args, done.output)
        assert "MG-0001" in done.stderr
    assert not (folder / "never.zip").exists()
    assert not (root / "MG-0001" / "events").exists()
