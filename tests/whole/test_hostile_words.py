"""Words of a pen file that are code to some reader (DXF, PDF, XML, STEP, a spreadsheet, a
terminal) come out as words in every file of a whole package, or are refused by their name."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pypdf
import pytest
from click.testing import CliRunner
from ezdxf.tools.text import plain_text
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader

from mandrelgen.cli.app import main
from mandrelgen.core.errors import InputError
from mandrelgen.spec.read import read_pen, read_shop, review
from mandrelgen.spec.starters import starter

OWNER = "</text><script>x</script>&lt;"
DRAWN_BY = "%%c{\\fA;x}\\P^J"
APPROVED_BY = ")>>/JS(x)'; ENDSEC;"
NAME = "=1+1 @A ]]> ../x"


def words_changed(**texts: str) -> bytes:
    """The bittern, with these texts in its title block."""
    lines = starter("pen", "bittern").decode().splitlines()
    at = lines.index("[pen]")
    end = next(i for i in range(at + 1, len(lines)) if lines[i].startswith("["))
    kept = [x for x in lines[at + 1 : end] if x.split("=")[0].strip() not in texts]
    new = [f"{key} = {json.dumps(text, ensure_ascii=False)}" for key, text in texts.items()]
    return "\n".join([*lines[: at + 1], *new, *kept, *lines[end:], ""]).encode()


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    pen = folder / "pen.toml"
    pen.write_bytes(
        words_changed(owner=OWNER, drawn_by=DRAWN_BY, approved_by=APPROVED_BY, name=NAME)
    )
    (folder / "shop.toml").write_bytes(starter("shop", "small"))
    done = CliRunner().invoke(
        main, ["make", str(pen), "--date", "2026-05-31", "--to", str(folder / "to")]
    )
    assert done.exit_code == 0, done.output
    return folder / "to"


def files(package: Path, ending: str) -> list[Path]:
    found = sorted(p for p in package.rglob(f"*{ending}"))
    assert found
    return found


def close(text: str) -> str:
    """Without spaces: the drawing parts ``%%`` by one, which is no code then."""
    return text.replace(" ", "")


def test_in_dxf_they_are_plain_text(package: Path) -> None:
    shown: set[str] = set()
    for path in files(package, ".dxf"):
        doc = ezdxf.readfile(path)
        assert not doc.audit().errors
        shown |= {close(plain_text(e.dxf.text)) for e in doc.modelspace().query("TEXT")}
    assert {close(word) for word in (OWNER, DRAWN_BY, APPROVED_BY)} <= shown


def test_in_pdf_they_are_text_and_nothing_runs(package: Path) -> None:
    text = ""
    for path in files(package, ".pdf"):
        reader = pypdf.PdfReader(path)
        assert not {"/OpenAction", "/AA"} & set(reader.root_object)
        assert "/JavaScript" not in (reader.root_object.get("/Names") or {})
        text += "".join(page.extract_text() for page in reader.pages)
        kinds = {a["/Subtype"] for p in reader.pages for a in p.get("/Annots", [])}
        assert not kinds
    for word in (OWNER, DRAWN_BY, APPROVED_BY):
        assert close(word) in close(text)


def test_in_xml_they_are_no_elements(package: Path) -> None:
    whole = ""
    for path in files(package, ".svg"):
        root = ElementTree.parse(path).getroot()
        assert not [e.tag for e in root.iter() if e.tag.endswith("script")]
        whole += "\n".join(root.itertext())
    assert OWNER in whole
    for path in files(package, ".3mf"):
        with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as box:
            for name in box.namelist():
                ElementTree.fromstring(box.read(name))


def test_in_step_no_text_ends_its_string(package: Path) -> None:
    """Read by the kernel; and the file has its two sections and no more."""
    for path in files(package, ".step"):
        assert STEPControl_Reader().ReadFile(str(path)) == IFSelect_RetDone
        assert len(re.findall(r"^ENDSEC;", path.read_text("ascii"), re.MULTILINE)) == 2


def test_in_file_names_they_do_not_appear(package: Path) -> None:
    for path in package.rglob("*"):
        assert re.fullmatch(r"[A-Za-z0-9_.-]+", path.name)
    assert {p.name for p in package.parent.iterdir()} == {"pen.toml", "shop.toml", "to"}


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("a\x1b[31m", "U+001B"),
        ("a\u202eb", "U+202E"),
        ("a\u2066b", "U+2066"),
        ("a\u200bb", "U+200B"),
        ("a\nb", "U+000A"),
        ("\u6f22", "U+6F22"),
        ("\u05d0", "U+05D0"),
        ("\U0001f58b", "U+1F58B"),
    ],
)
@pytest.mark.parametrize("field", ["name", "owner", "drawn_by", "approved_by"])
def test_what_the_paper_cannot_show_is_a_finding_that_names_it(
    field: str, text: str, named: str
) -> None:
    data = words_changed(**{field: text})
    try:
        pen = read_pen(data, "pen.toml")
        shop = read_shop(starter("shop", "small"), "shop.toml")
        findings = review(pen, shop, data, "pen.toml")
    except InputError as e:
        findings = e.findings
    told = [f.line() for f in findings if f"pen.{field}" in f.where]
    assert any(named in line for line in told), findings
    assert all(line.isprintable() for line in told)
