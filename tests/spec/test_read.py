"""Reading pen and shop files: every fault at once, in plain words, at its line."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib

import jsonschema
import pytest
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, settings
from pydantic import ValidationError

from mandrelgen.core.errors import Finding, InputError
from mandrelgen.core.resources import FONT, template_path
from mandrelgen.spec.glyphs import is_drawn
from mandrelgen.spec.migrate import SchemaVersionError, migrate
from mandrelgen.spec.pen import Counterbore, Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.schema import schema_text
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter, starter_names

MINIMAL = """\
schema = 1
[pen]
id = "teal"
name = "Teal"
[parts.cap]
length = 60
diameter = 14
[parts.cap.ends.mouth]
diameter = 13.5
[parts.cap.ends.mouth.internal]
thread = "M12x1-6H"
depth = 9
"""

STARTERS = [(kind, name) for kind in ("pen", "shop") for name in starter_names(kind)]
TEXTS = {pair: starter(*pair).decode() for pair in STARTERS}
QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def read(kind: str, data: bytes) -> Pen | Shop:
    return read_pen(data, "pen.toml") if kind == "pen" else read_shop(data, "shop.toml")


def faults(text: str | bytes, kind: str = "pen") -> tuple[Finding, ...]:
    """The findings of a file that cannot be read; each says what, where and how to mend it."""
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(InputError) as caught:
        read(kind, data)
    for finding in caught.value.findings:
        check_words(finding, kind)
    return caught.value.findings


def check_words(finding: Finding, kind: str) -> None:
    assert finding.message
    assert finding.remedy
    assert finding.where.startswith(f"{kind}.toml")
    assert finding.line().isprintable()
    assert len(finding.line()) < 900
    # None of the libraries' own words: a person is told, not a programmer. The value found is
    # quoted, and may be any word.
    told = re.sub(r"'[^']*'", "", finding.message + finding.remedy)
    for word in (
        "pydantic",
        "Traceback",
        "Input should",
        "dict",
        "NoneType",
        "model_type",
        "tuple",
    ):
        assert word not in told


def mended(old: str, new: str) -> str:
    assert old in MINIMAL
    return MINIMAL.replace(old, new)


def test_a_small_pen_reads() -> None:
    pen = read_pen(MINIMAL.encode(), "pen.toml")
    assert pen.parts["cap"].ends["mouth"].internal is not None
    assert pen.parts["cap"].length == 60


def test_a_byte_order_mark_and_crlf_are_taken() -> None:
    data = b"\xef\xbb\xbf" + MINIMAL.replace("\n", "\r\n").encode()
    assert read_pen(data, "pen.toml") == read_pen(MINIMAL.encode(), "pen.toml")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b" \n\t\n", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (b"schema = 1\n\0\0", "binary data (a zero byte in line 2)"),
        (b"\x89PNG\r\n\x1a\n\0", "binary"),
        (MINIMAL.encode("utf-16"), "UTF-16"),
        ("schema = 1\n# f\u00fcr".encode("latin-1"), "line 2 holds the byte 0xFC"),
        (b"#" * 1_000_001, "1,000,001 bytes"),
    ],
)
def test_what_is_no_text_file_is_refused(data: bytes, said: str) -> None:
    (finding,) = faults(data)
    assert said in finding.message


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("a = 12,5", "decimal comma"),
        ("a = 3/8 in", "left over after the value"),
        ("a = M9x0.75", "cannot be read"),
        ("a = \u201cM9\u201d", "typographic"),
        ("a = .5", "one side of its point"),
        ("a b = 1", "followed by ="),
        ('a = "x', "not closed"),
        ("a = [1, 2", "not closed"),
        ("[parts.x", "not closed"),
        ("[pen]", "twice"),
        ('name = "again"\nname = "again"', "second time"),
        ("p\u0430rt = 1", "only looks like a Latin one"),
        ('a = "\\z"', "backslash"),
        ("a = 1" + "0" * 5000, "hundreds of digits"),
        ("a = " + "[" * 5000, "too deep"),
        ("a = \x07", "cannot be read"),
    ],
)
def test_a_slip_in_toml_is_told_in_plain_words(line: str, said: str) -> None:
    text = MINIMAL + line + "\n"
    findings = faults(text)
    assert any(said in f.message for f in findings), findings
    # Line counted here by hand, not by the program.
    slip = text.count("\n")
    places = [f for f in findings if f.code == "file.syntax"]
    assert re.match(r"pen\.toml:(\d+) column \d+$", places[0].where)
    assert abs(int(places[0].where.split(":")[1].split()[0]) - slip) <= 1


def test_several_slips_and_faults_are_told_together() -> None:
    text = mended("length = 60", "length = 60,5").replace("depth = 9", "depth = 9 mm\ndpeth = 9")
    told = "\n".join(f.line() for f in faults(text))
    assert "pen.toml:6" in told
    assert "pen.toml:12" in told
    assert "did you mean 'depth'" in told
    # The line left out must not be told as missing.
    assert "is missing" not in told


@pytest.mark.parametrize(
    ("old", "new", "place", "said", "remedy"),
    [
        ("length = 60", "", "5 parts.cap.length", "length is missing", "add length"),
        ("length = 60", "lenght = 60", "6 parts.cap.lenght", "not a known key", "'length'"),
        ("length = 60", "length = -60", "6 parts.cap.length", "-60 is outside", "length"),
        ("length = 60", "length = 0", "6 parts.cap.length", "outside", "length"),
        ("length = 60", "length = 2001", "6 parts.cap.length", "outside", "length"),
        ("length = 60", "length = nan", "6 parts.cap.length", "nan is not a number", "finite"),
        ("length = 60", "length = inf", "6 parts.cap.length", "inf is not a number", "finite"),
        ("length = 60", "length = 1e300", "6 parts.cap.length", "larger than", "mm"),
        ("length = 60", "length = 1" + "0" * 400, "6 parts.cap.length", "larger than", "mm"),
        ("length = 60", "length = true", "6 parts.cap.length", "a number in mm", "length"),
        ("length = 60", "length = [60]", "6 parts.cap.length", "a number in mm", "length"),
        ("length = 60", "length = '3/8'", "6 parts.cap.length", "has no unit", "length"),
        ("length = 60", "length = '1/0 in'", "6 parts.cap.length", "zero", "length"),
        ("length = 60", "length = 'about 60'", "6 parts.cap.length", "not a length", "length"),
        ("length = 60", "length = 2026-05-01", "6 parts.cap.length", "a number in mm", "length"),
        ('id = "teal"', 'id = "Teal Blue"', "3 pen.id", "not allowed as id", "lower-case"),
        ('id = "teal"', 'id = "con"', "3 pen.id", "keep for themselves", "id"),
        ('name = "Teal"', 'name = ""', "4 pen.name", "has nothing in it", "a text"),
        ('name = "Teal"', f'name = "{"x" * 81}"', "4 pen.name", "too long", "at most 80"),
        ('name = "Teal"', f'name = "T"\nowner = "{"x" * 81}"', "5 pen.owner", "too long", "80"),
        ("depth = 9", "depth = 9\n[mandrels.defaults]\nmarking = '1234567890123456789012345'",
         "14 mandrels.defaults.marking", "too long", "at most 24"),
        ('name = "Teal"', "name = 7", "4 pen.name", "wrong kind", "a text in double quotes"),
        ('name = "Teal"', 'name = "T"\ndate = 5', "5 pen.date", "a date is written", "date"),
        ('name = "Teal"', 'name = "鷺"', "4 pen.name", "cannot show (U+9DFA", "Latin"),
        ('name = "Teal"', 'name = "a\\u0007"', "4 pen.name", "U+0007", "Latin"),
        ('name = "Teal"', 'name = """a\nb"""', "4 pen.name", "U+000A", "on one line"),
        ('name = "Teal"', 'name = "T"\n"own\u0435r" = "x"', "5 pen.own\u0435r", "U+0435", "owner"),
        ("depth = 9", "made = 'guidde'\ndepth = 9", "12 parts.cap.ends.mouth.internal.made",
         "not one of the choices", '"guided"'),
        ("depth = 9", "depth = 9\nflats = true", "13 parts.cap.ends.mouth.internal.flats",
         "not a known key", "belongs in mandrels.defaults"),
        ("depth = 9", "depth = 9\ncountersink_angle = 200",
         "13 parts.cap.ends.mouth.internal.countersink_angle", "out of range", "150 or less"),
        ("depth = 9", "depth = 9\nmeasured = 3", "13 parts.cap.ends.mouth.internal.measured",
         "wrong kind", "a table"),
        ("depth = 9", "depth = 9\ncounterbore = {diameter = 12.5}",
         "13 parts.cap.ends.mouth.internal.counterbore.depth", "depth is missing", "add depth"),
        ("depth = 9", "depth = 9\n[mandrels]\nall_needed = 'yes'", "14 mandrels.all_needed",
         "wrong kind", "true or false"),
        ("depth = 9", "depth = 9\n[[mandrels.requests]]\nholds = 'cap.mouth'\nquantity = 1.5",
         "15 mandrels.requests[1].quantity", "wrong kind", "a whole number"),
        ("depth = 9", "depth = 9\n[shop.lathe]\nmax_sped = 9", "14 shop.lathe.max_sped",
         "not a known key", "'max_speed'"),
        ("depth = 9", "depth = 9\n[shop]\ncollets = 3", "14 shop.collets", "wrong kind", "list"),
        ("schema = 1\n", "", " schema", "schema is missing", "schema = 1"),
        ("schema = 1", "schema = 2", "1 schema", "newer", "install a newer mandrelgen"),
        ("schema = 1", "schema = 0", "1 schema", "never was", "schema = 1"),
        ("schema = 1", 'schema = "1"', "1 schema", "not a whole number", "without quotes"),
        ("schema = 1", "schema = true", "1 schema", "not a whole number", "without quotes"),
    ],
)  # fmt: skip
def test_a_fault_says_what_where_and_how_to_mend_it(
    old: str, new: str, place: str, said: str, remedy: str
) -> None:
    (finding,) = faults(mended(old, new))
    assert finding.where == ("pen.toml" + place if place[0] == " " else "pen.toml:" + place)
    assert said in finding.message
    assert remedy in finding.remedy


def test_tables_of_the_wrong_kind_are_told() -> None:
    for text in (
        "schema=1\npen=1\nparts=[]",
        "schema=1\n[[pen]]\n[[parts]]",
        "schema=1\nparts.a=1",
    ):
        assert len(faults(text)) >= 2


def test_deep_and_vast_files_are_refused() -> None:
    deep = MINIMAL + "[" + ".".join("a" * 500) + "]\nx = 1\n"
    assert "deep" in faults(deep)[0].message
    vast = MINIMAL + "[shop]\nx = [" + "1," * 20_100 + "]\n"
    assert "20000 values" in faults(vast)[0].message


def test_all_faults_come_at_once() -> None:
    """Eight independent faults in one file (counted by hand), each told once."""
    text = (
        mended("length = 60", "lenght = 60")
        .replace("diameter = 14", "diameter = -14")
        .replace("diameter = 13.5", "diameter = nan")
        .replace("M12x1-6H", "M12x1-6g")
        .replace("depth = 9", 'depth = "deep"\nmates = "cpa.mouth"')
        + "[mandrels.defaults]\nfit = 'tight'\nthread_class = 'x'\n"
    )
    lines = sorted(int(f.where.split(":")[1].split()[0]) for f in faults(text))
    assert lines == [6, 7, 9, 11, 12, 13, 15, 16]


def test_the_shop_file_is_judged_the_same_way() -> None:
    text = "schema = 1\n[[collets]]\nsystem = 'ISO 15488-25'\nsizes = [4, -1]\n[lathe]\npower = 0\n"
    assert [f.where for f in faults(text, "shop")] == [
        "shop.toml:4 collets[1].sizes[2]",
        "shop.toml:6 lathe.power",
    ]


def test_the_shop_is_overridden_key_by_key() -> None:
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    text = MINIMAL + "[shop.lathe]\nmax_speed = 900\n[shop.instruments.own]\nkind = 'pins'\n"
    merged = effective_shop(shop, read_pen(text.encode(), "pen.toml"))
    assert merged.lathe.max_speed == 900
    assert merged.lathe.power == shop.lathe.power
    assert set(merged.instruments) == {*shop.instruments, "own"}
    assert merged.collets == shop.collets


def test_migration_is_pure_and_knows_version_one_only() -> None:
    data: dict[str, object] = {"schema": 1, "pen": {}}
    assert migrate(data, "pen") == data
    assert migrate(data, "pen") is not data
    for version in (0, -1, 2, 10**30, "1", None, 1.0, True):
        with pytest.raises(SchemaVersionError):
            migrate({"schema": version}, "pen")


def test_the_drawn_characters_are_in_the_font() -> None:
    """Against the font's own character map, read with fontTools."""
    in_font = set(TTFont(template_path(FONT)).getBestCmap())
    drawn = {code for code in range(0x110000) if is_drawn(chr(code))}
    assert drawn <= in_font
    assert set(range(0x20, 0x7F)) <= drawn
    assert set("⌀×−±µ°→≤≥½äöüßéñčőşæøåÆØÅłŁžЖЯжяαω„“”’–—…") <= set(map(chr, drawn))
    assert not drawn & set(map(ord, "\u0000\t\n\u007f\u00ad\u200b\u200f\u202e\u2066\u0301\ufeff"))


@pytest.mark.parametrize("kind", ["pen", "shop"])
def test_the_published_schema_is_the_models(kind: str) -> None:
    text = template_path(f"schema/{kind}.schema.json").read_text(encoding="utf-8")
    assert text == schema_text(kind)
    jsonschema.Draft202012Validator.check_schema(json.loads(text))


VALIDATORS = {
    kind: jsonschema.Draft202012Validator(json.loads(schema_text(kind))) for kind in ("pen", "shop")
}


@pytest.mark.parametrize(("kind", "name"), STARTERS)
def test_starters_fit_the_published_schema(kind: str, name: str) -> None:
    """Judged by the jsonschema library, which knows nothing of the models."""
    VALIDATORS[kind].validate(tomllib.loads(TEXTS[kind, name]))


def test_a_number_beyond_arithmetic_is_refused_by_the_model_itself() -> None:
    with pytest.raises(ValidationError, match="too large"):
        Counterbore(diameter=10**400, depth=1)  # type: ignore[arg-type]


def test_the_name_of_the_file_cannot_break_a_message() -> None:
    with pytest.raises(InputError) as caught:
        read_pen(b"schema = 1\n", "a\nb\x1b.toml")
    assert all(f.line().isprintable() for f in caught.value.findings)


def test_the_hot_path_loads_no_line_finder() -> None:
    code = (
        "import sys; from mandrelgen.spec.read import read_pen; "
        "from mandrelgen.spec.starters import starter; read_pen(starter('pen', 'heron'), 'x'); "
        "sys.exit(any(m.startswith(('tree_sitter', 'fontTools', 'OCP')) for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
