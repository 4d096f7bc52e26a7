"""The commands as a person or a script runs them: contracts, exit codes, faults told in words."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from mandrelgen.spec.starters import starter
from tests.support.commands import here, program

STARTERS = {"heron": "bench", "wren": "bench", "bittern": "small"}


@pytest.fixture
def pen(tmp_path: Path) -> Path:
    """The heron starter with its shop beside it."""
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    path = tmp_path / "heron.toml"
    path.write_bytes(starter("pen", "heron"))
    return path


def test_new_copies_a_starter_under_the_makers_name(tmp_path: Path) -> None:
    done = here("new", "my-pen", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert 'id = "my-pen"' in (tmp_path / "my-pen.toml").read_text(encoding="utf-8")
    assert (tmp_path / "shop.toml").exists()
    before = (tmp_path / "my-pen.toml").read_bytes()
    again = here("new", "my-pen", cwd=tmp_path)
    assert again.returncode == 2
    assert "already there" in again.stderr
    assert (tmp_path / "my-pen.toml").read_bytes() == before


@pytest.mark.parametrize("name", ["../x", "A", "", "a/b", "con/../x", "x" * 60])
def test_new_refuses_names_that_lead_elsewhere(tmp_path: Path, name: str) -> None:
    done = here("new", name, "--to", str(tmp_path / "t"))
    assert done.returncode == 2
    assert not (tmp_path / "t").exists()


@pytest.mark.parametrize("name", STARTERS)
def test_check_of_every_starter_is_fine_and_keeps_its_contract(tmp_path: Path, name: str) -> None:
    (tmp_path / "shop.toml").write_bytes(starter("shop", STARTERS[name]))
    (tmp_path / "pen.toml").write_bytes(starter("pen", name))
    done = here("check", str(tmp_path / "pen.toml"), "--json")
    assert done.returncode == 0, done.stderr
    view = json.loads(done.stdout)
    assert {"findings", "mandrels", "pen"} <= set(view)
    assert len(view["mandrels"]) >= 3
    for f in view["findings"]:
        assert {"level", "code", "where", "message", "remedy"} <= set(f)
    for m in view["mandrels"]:
        assert {"id", "kind", "part", "end", "characteristics", "decisions"} <= set(m)
        for c in m["characteristics"]:
            assert {"id", "nominal", "lower", "upper", "unit", "source"} <= set(c)


# What a check needs, and nothing else: libraries, and rooms of the program.
LIBRARIES = {"click", "pydantic", "pydantic_core", "annotated_types", "typing_extensions",
             "typing_inspection"}  # fmt: skip
ROOMS = {
    "archive", "assess", "cli", "core", "design", "mechanics", "model", "spec", "standards",
    "workflows",
}  # fmt: skip
# Of the archive a check without one needs its marker's name and whether a file is there.
OF_ARCHIVE = {"mandrelgen.archive.naming", "mandrelgen.archive.disk"}
# What words a fault, or changes the pen, is loaded when there is one.
AT_A_FAULT = {
    "mandrelgen.assess.counterparts", "mandrelgen.assess.smaller_thread", "mandrelgen.spec.faults",
    "mandrelgen.spec.legal", "mandrelgen.spec.places", "mandrelgen.spec.salvage",
}  # fmt: skip
# What a drawing of a usual mandrel and its reading back do without, if no other paper is asked for.
NOT_DRAWN = {
    "mandrelgen.files.proof.tables", "mandrelgen.model.mid_limits",
    "mandrelgen.paper.drawing.two_sheets", "mandrelgen.workflows.answers.results",
}  # fmt: skip
# Each is made anew at every start, which takes four times as long as a NamedTuple.
MOST_DATACLASSES = 54


def loaded(*args: str) -> tuple[set[str], int]:
    """The modules that a command loads, and how many dataclasses of ours are among them."""
    code = (
        "import sys\nfrom dataclasses import is_dataclass\nbefore = set(sys.modules)\n"
        "from mandrelgen.cli.app import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as e:\n    assert e.code == 0\n"
        "new = {n: m for n, m in sys.modules.items() if n not in before}\n"
        "kept = [(n, c) for n, m in new.items() for c in vars(m).values() if isinstance(c, type)]\n"
        "ours = [c for n, c in kept if n.startswith('mandrelgen') and c.__module__ == n\n"
        "        and is_dataclass(c)]\n"
        "print('\\n' + ' '.join(new), len(ours))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *args], capture_output=True, text=True, check=False,
        cwd=Path(args[1]).parent,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    *names, dataclasses = done.stdout.splitlines()[-1].split()
    return set(names), int(dataclasses)


def test_check_imports_only_what_it_needs(pen: Path) -> None:
    """Neither the kernel nor what draws and publishes: a check has to start fast."""
    names, dataclasses = loaded("check", str(pen))
    others = {n.partition(".")[0] for n in names if not n.startswith("_")}
    assert others - sys.stdlib_module_names - {"mandrelgen"} <= LIBRARIES
    ours = {n for n in names if n.startswith("mandrelgen.")}
    assert {n.split(".")[1] for n in ours} <= ROOMS
    of_archive = {n for n in ours if n.startswith("mandrelgen.archive.")}
    assert {n for n in of_archive if not n.startswith("mandrelgen.archive.disk.")} <= OF_ARCHIVE
    assert not names & AT_A_FAULT
    assert dataclasses <= MOST_DATACLASSES


def test_a_drawing_alone_imports_only_what_it_needs(pen: Path) -> None:
    """Neither what numbers and orders nor what other papers need."""
    names, _ = loaded(
        "make", str(pen), "--only", "dxf,pdf", "--workers", "1", "--to", str(pen.parent / "out")
    )
    assert list((pen.parent / "out").rglob("*.dxf"))
    assert not names & (AT_A_FAULT | NOT_DRAWN)
    assert not {n for n in names if n.startswith(("mandrelgen.archive.", "mandrelgen.page"))} - {
        "mandrelgen.archive.naming", "mandrelgen.archive.disk", "mandrelgen.archive.disk.files",
        "mandrelgen.archive.disk.locks", "mandrelgen.archive.disk.messages",
    }  # fmt: skip


def test_no_package_beside_it_takes_part_in_reading(pen: Path) -> None:
    """As pydantic would let one do that is installed and calls itself its plugin."""
    (pen.parent / "foreign.py").write_text(
        "print('foreign code')\nclass plugin:\n"
        "    def new_schema_validator(*given, **named):\n        return None, None, None\n", "utf-8"
    )  # fmt: skip
    known = pen.parent / "foreign-1.0.dist-info"
    known.mkdir()
    (known / "METADATA").write_text("Metadata-Version: 2.1\nName: foreign\nVersion: 1.0\n")
    (known / "entry_points.txt").write_text("[pydantic]\nforeign = foreign:plugin\n", "utf-8")
    beside = {"PYTHONPATH": str(pen.parent)}
    assert "foreign code" in subprocess.run(
        [sys.executable, "-c", "import pydantic\nclass A(pydantic.BaseModel):\n    x: int\n"],
        capture_output=True, text=True, check=True, env={**os.environ, **beside},
    ).stdout  # fmt: skip
    done = program("check", str(pen), **beside)
    assert done.returncode == 0, done.stderr
    assert "foreign code" not in done.stdout


def test_thread_json_keeps_its_contract() -> None:
    done = here("thread", "M12xPh2.4P0.8-6H", "--json")
    assert done.returncode == 0
    view = json.loads(done.stdout)
    keys = {
        "designation", "starts", "pitch", "lead", "lead_angle", "hand", "basic", "limits",
        "source", "extended",
    }  # fmt: skip
    assert keys <= set(view)
    assert view["limits"]["major"]["max"] is None
    assert (view["starts"], view["lead"], view["hand"]) == (3, 2.4, "right")
    assert view["extended"] is True


def test_a_thread_nobody_can_read_is_said_in_words() -> None:
    done = here("thread", "M12x2.4P")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "M9x0.75" in done.stderr


def test_only_gives_no_number_and_makes_no_archive(pen: Path, tmp_path: Path) -> None:
    to = tmp_path / "out"
    done = here("make", str(pen), "--to", str(to), "--only", "dxf,pdf", "--json")
    assert done.returncode == 0, done.stderr
    view = json.loads(done.stdout)
    assert [p.name for p in to.iterdir()] == ["not-issued"]
    for m in view["mandrels"]:
        assert m["number"] is None
        assert set(m["files"]) == {"dxf", "pdf"}
        for name in m["files"].values():
            assert (Path(m["folder"]) / name).stat().st_size > 1000


def test_make_says_nothing_of_a_mandrel_that_is_not_needed(pen: Path, tmp_path: Path) -> None:
    """As check: the heron's finial is turned screwed into its cap."""
    out = str(tmp_path / "out")
    done = here("make", str(pen), "--to", out, "--only", "outline")
    assert done.returncode == 0, done.stderr
    assert "finial-root-cup" in done.stdout
    assert "finial-root-cup" not in done.stderr
    assert done.stderr.count("far_end = ") == 1  # of three mandrels
    told = json.loads(here("make", str(pen), "--to", out, "--only", "outline", "--json").stdout)
    assert "finial-root-cup" in {f["where"] for f in told["findings"]}


def test_the_wrong_format_is_told_with_those_there_are(pen: Path, tmp_path: Path) -> None:
    done = here("make", str(pen), "--to", str(tmp_path / "out"), "--only", "dwg")
    assert done.returncode == 2
    assert "step" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.toml", b""),
        ("binary.toml", bytes(range(256))),
        ("broken.toml", b"schema = 1\n[pen\n"),
        ("huge.toml", b"# " + b"x" * 1_100_000),
        ("latin.toml", 'schema = 1\n[pen]\nname = "é"\n'.encode("latin-1")),
    ],
    ids=["empty", "binary", "broken", "huge", "latin"],  # the bytes are too long for a name
)
def test_unreadable_files_are_told_in_words_and_touch_nothing(
    tmp_path: Path, name: str, data: bytes
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    done = here("make", str(path), "--to", str(tmp_path / "out"))
    assert done.returncode == 2
    assert done.stderr.startswith("error: ")
    assert "Traceback" not in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == [name]


def test_a_folder_and_a_missing_file_are_told(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.toml"):
        done = here("check", str(path), "--json")
        assert done.returncode == 2
        assert json.loads(done.stdout)["findings"]
        assert "Traceback" not in done.stderr


def test_every_fault_is_told_in_one_go_with_its_line(pen: Path) -> None:
    text = pen.read_text(encoding="utf-8")
    text = text.replace("length = 65.0", "lenght = 65.0").replace(
        'thread = "M7x0.5-6H"', 'thread = "M7xx0.5"'
    )
    text = text.replace("length = 84.0", "length = -84.0")
    pen.write_text(text, encoding="utf-8")
    done = here("check", str(pen))
    assert done.returncode == 2
    for hint in ("length", "M7xx0.5", "-84"):
        assert hint in done.stderr
    assert done.stderr.count("heron.toml:") >= 3


def test_a_mandrel_that_cannot_work_is_an_error_and_the_others_are_still_made(
    pen: Path, tmp_path: Path
) -> None:
    text = pen.read_text(encoding="utf-8").replace("depth = 11.0", "depth = 4.0")
    pen.write_text(text, encoding="utf-8")
    done = here("make", str(pen), "--to", str(tmp_path / "out"), "--only", "outline", "--json")
    assert done.returncode == 1
    view = json.loads(done.stdout)
    assert any(f["level"] == "error" and f["code"] == "thread.short" for f in view["findings"])
    assert len(view["mandrels"]) >= 2


def test_control_characters_of_a_file_name_do_not_reach_the_terminal(tmp_path: Path) -> None:
    done = here("check", str(tmp_path / "a\x1b[31m.toml"))
    assert done.returncode == 2
    assert "\x1b" not in done.stderr + done.stdout
