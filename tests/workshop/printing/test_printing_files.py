"""Print versions: calibration of the printer, files, names and cautions."""

from __future__ import annotations

import io
import tomllib
import zipfile
from pathlib import Path

import lib3mf
import pytest
import trimesh
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen.cli.app import main
from mandrelgen.core.errors import InputError
from mandrelgen.core.resources import template_path
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows import check, print_versions
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workshop.printing import calibrate, printer, words
from tests.support.printing_parts import EMPTY, PENS, inputs_of


@pytest.fixture(scope="module")
def checked():
    return {pen: check.check(inputs_of(pen)) for pen in PENS}


# ------------------------------------------------------------------ calibration

SHOP_TEXT = """# my shop
schema = 1   # the form

[printers.attic]    # second hand
kind = "fdm"
nozzle = 0.4        # brass
outside = 0.3

[lathe]
max_speed = 2500    # belt 2
"""


def test_readings_become_an_entry_and_comments_stay(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP_TEXT, encoding="utf-8")
    run = CliRunner().invoke(main, [
        "calibrate", "attic", "--shop", str(shop), "--pin", "10=10.12", "--hole", "8=7.85",
        "--ladder", "0.15", "--date", "2026-06-01",
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    text = shop.read_text(encoding="utf-8")
    assert [line for line in SHOP_TEXT.splitlines() if line not in text.splitlines()] == []
    (entry,) = tomllib.loads(text)["printers"]["attic"]["calibration"]
    assert entry["date"].isoformat() == "2026-06-01"
    assert (entry["outside"], entry["hole"]) == pytest.approx((0.12, 0.15))
    assert (entry["external_thread"], entry["internal_thread"]) == (0.15, 0.15)
    p = printer.printer(Shop.model_validate(tomllib.loads(text)), "attic")
    assert (p.outside, p.external_thread, p.dated) == (0.12, 0.15, "2026-06-01")
    assert "calibrated 2026-06-01" in p.said()
    made = print_versions.print_mandrels(
        check.check(read_inputs(template_path("pens/heron.toml"), shop)),
        "attic", tmp_path / "out", "2026-06-02", anyway=True,
    )  # fmt: skip
    assert made.made
    for m in made.made:
        told = (m.folder / next(f for f in m.files if f.endswith(".txt"))).read_text("utf-8")
        assert "calibrated 2026-06-01" in told


def test_the_latest_reading_of_each_size_counts() -> None:
    entries = [
        {"date": "2026-05-01", "outside": 0.2, "hole": 0.1},
        {"date": "2026-07-01", "outside": 0.3},
        {"date": "2026-06-01", "outside": 0.1, "external_thread": 0.05},
    ]
    shop = Shop.model_validate(
        {"schema": 1, "printers": {"x": {"kind": "fdm", "calibration": entries}}}
    )
    p = printer.printer(shop, "x")
    assert (p.outside, p.hole, p.external_thread, p.internal_thread) == (0.3, 0.1, 0.05, 0.2)
    assert p.dated == "2026-07-01"


@given(
    st.sampled_from(["\n", "\r\n"]), st.booleans(), st.sampled_from(["attic", "resin", "fdm-04"]),
    st.integers(1, 3), st.floats(-0.7, 0.7),
)  # fmt: skip
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_the_rest_of_the_shop_file_is_never_touched(
    line: str, bom: bool, name: str, times: int, off: float
) -> None:
    before = ("\ufeff" if bom else "") + SHOP_TEXT.replace("\n", line)
    shop = Shop.model_validate(tomllib.loads(SHOP_TEXT))
    found = calibrate.compensation(calibrate.Readings(pins=((10.0, 10.0 + off),)))
    text = before
    for _ in range(times):
        text = calibrate.entered(text, shop, name, found, "2026-06-01")
    assert text.startswith("\ufeff") == bom
    assert ("\r\n" in text) == (line == "\r\n")
    assert text.count("\n") == text.count(line)
    kept = set(text.split(line))
    assert all(row in kept for row in before.split(line))
    values = tomllib.loads(text.removeprefix("\ufeff"))
    rows = values["printers"][name]["calibration"]
    assert len(rows) == times
    assert rows[-1]["outside"] == pytest.approx(off, abs=1e-4)
    Shop.model_validate(values)


@pytest.mark.parametrize(("options", "said"), [
    (["--pin", "11=11.1"], "no size 11"), (["--pin", "ten"], "not a reading"),
    (["--pin", "10=12"], "2.00 off"), (["--ladder", "0.07"], "no mark"),
    (["--hole", "8=nan"], "not a reading"), ([], "no reading"),
])  # fmt: skip
def test_a_wrong_reading_is_told_and_nothing_written(
    tmp_path: Path, options: list[str], said: str
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP_TEXT, encoding="utf-8")
    run = CliRunner().invoke(main, ["calibrate", "attic", "--shop", str(shop), *options])
    assert run.exit_code == 2
    assert said in run.output
    assert shop.read_text(encoding="utf-8") == SHOP_TEXT


def test_an_unknown_printer_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no printer 'cellar'"):
        print_versions.print_coupon(EMPTY, "cellar", tmp_path, "2026-06-01")


# ------------------------------------------------------------------ files


def test_files_names_metadata_and_cautions(tmp_path: Path) -> None:
    """3MF by the consortium's reader (lib3mf, strict, no warning), STL by trimesh; the file says
    what it is, whose it is, and that it is not for turning."""
    made = print_versions.print_mandrels(
        check.check(inputs_of("wren")), "resin", tmp_path, "2026-06-01"
    )
    assert len(made.made) == 3
    for m in made.made:
        assert {f.rsplit("_", 1)[1] for f in m.files} == {
            "print-resin.3mf", "print-resin.stl", "print-resin.txt"}  # fmt: skip
        files = {f.rsplit(".", 1)[1]: (m.folder / f).read_bytes() for f in m.files}
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromBuffer(files["3mf"])
        assert reader.GetWarningCount() == 0
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        assert model.GetMeshObjects().Count() == 1
        assert model.GetOutbox().MinCoordinate[2] == pytest.approx(0, abs=1e-4)
        with zipfile.ZipFile(io.BytesIO(files["3mf"])) as z:
            text = z.read("3D/3dmodel.model").decode()
        assert "not for turning" in text
        assert "print-resin" in files["stl"][:80].decode()
        tri = trimesh.load_mesh(io.BytesIO(files["stl"]), file_type="stl")
        assert tri.is_volume
        assert tri.bounds[0][2] == pytest.approx(0, abs=1e-5)
        told = files["txt"].decode()
        for caution in (*words.GENERAL, *m.cautions):
            assert caution in told
        # ISO has none for printed mandrels: the cap of data/loads.toml (from memory).
        assert "Speed cap, were it allowed, in resin: 1000 rev/min" in told


def test_a_numbered_fixture_is_printed_under_its_number(tmp_path: Path, checked) -> None:
    """Number and revision come from the archive if the same design was published there."""
    from mandrelgen.archive import design_hash, numbering, publish, root

    result = checked["wren"]
    mandrel = result.designed[0].mandrel
    archive = root.open_root(tmp_path)
    slot, digest = design_hash.slot_of(mandrel), design_hash.design_hash(mandrel)
    plan = numbering.assign(archive, slot, digest, None)
    record = publish.make_record(plan, mandrel, "2026-06-01", "test")
    publish.publish_all(archive, [publish.Publication(plan, {"a.txt": b"a"}, record)])
    made = print_versions.print_mandrels(
        result, "resin", tmp_path, "2026-06-01", only="cap-mouth-plug"
    )
    (m,) = made.made
    assert m.files[0] == "MG-0001_A_print-resin.3mf"


def test_the_gauge_command_writes_metal_and_printed(tmp_path: Path) -> None:
    run = CliRunner().invoke(main, [
        "gauge", str(template_path("pens/heron.toml")), "section.rear", "--shop",
        str(template_path("shops/bench.toml")), "--to", str(tmp_path),
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    names = {p.name for p in tmp_path.rglob("*") if p.is_file()}
    assert names >= {
        "not-issued_go-ring.step",
        "not-issued_not-go-ring_nominal.3mf",
        "not-issued_go-ring.pdf",
        "not-issued_go-ring.dxf",
        "dummy_nominal.stl",
    }
    run = CliRunner().invoke(main, [
        "gauge", str(template_path("pens/heron.toml")), "section.rear", "--printer", "resin",
        "--to", str(tmp_path),
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    assert list(tmp_path.rglob("go-ring_print-resin.3mf"))
