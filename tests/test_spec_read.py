"""Reading pen and shop files: every fault at once, in plain words, at its line."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib

import jsonschema
import pytest
import tomlkit
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from mandrelgen.errors import Finding, InputError, Level
from mandrelgen.resources import FONT, template_path
from mandrelgen.spec.glyphs import is_drawn
from mandrelgen.spec.migrate import SchemaVersionError, migrate
from mandrelgen.spec.pen import Counterbore, Pen
from mandrelgen.spec.places import Places
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.remark import dotted
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


WORDS = st.sampled_from(["a", "b", "c-1", "d_2", "x y", "ü", "q.r", ""])
SCALARS = st.one_of(st.integers(-5, 5), st.booleans(), st.text("ab\n\"#]}=\t'", max_size=6))
TREES = st.dictionaries(
    WORDS,
    st.recursive(
        SCALARS,
        lambda s: st.lists(s, max_size=3) | st.dictionaries(WORDS, s, max_size=3),
        max_leaves=8,
    ),
    max_size=4,
)


@QUICK
@given(TREES)
def test_places_find_a_key_that_tomlkit_wrote(tree: dict[str, object]) -> None:
    """A marker is written by an independent TOML writer and found on its line."""
    marked = {**tree, "mark": {"list": [{"x": 1}, {"in": {"target": 12345}}]}, "z": 1}
    text = tomlkit.dumps(marked)
    line = next(i for i, t in enumerate(text.split("\n"), 1) if "target" in t)
    assert Places(text).line(("mark", "list", 1, "in", "target")) == line


def check_survives(kind: str, data: bytes) -> None:
    """A model, or findings in plain words; never another exception."""
    try:
        assert isinstance(read(kind, data), Pen | Shop)
        findings: tuple[Finding, ...] | None = None
    except InputError as error:
        findings = error.findings
    if findings is not None:
        assert findings
        for finding in findings:
            check_words(finding, kind)
            assert finding.level is Level.ERROR


@QUICK
@given(st.sampled_from(STARTERS), st.data())
def test_broken_bytes_never_raise_anything_else(pair: tuple[str, str], data: st.DataObject) -> None:
    raw = bytearray(TEXTS[pair].encode())
    for _ in range(data.draw(st.integers(1, 4))):
        if not raw:
            break
        at = data.draw(st.integers(0, len(raw) - 1))
        how = data.draw(st.sampled_from(["set", "cut", "insert", "end"]))
        piece = data.draw(st.binary(min_size=1, max_size=6) | st.sampled_from(PIECES))
        if how == "end":
            del raw[max(at, 1) :]
        else:
            raw[at : at + (0 if how == "insert" else len(piece))] = b"" if how == "cut" else piece
    check_survives(pair[0], bytes(raw))


PIECES = [p.encode() for p in ("[[", "]", "{", "=", '"""', "'", "\n[parts]\n", "\r", "\u0430", ".")]


@QUICK
@given(st.sampled_from(STARTERS), st.data())
def test_shuffled_lines_never_raise_anything_else(
    pair: tuple[str, str], data: st.DataObject
) -> None:
    lines = [t for t in TEXTS[pair].split("\n") if t.strip() and not t.startswith("#")]
    for _ in range(data.draw(st.integers(1, 5))):
        i = data.draw(st.integers(0, len(lines) - 1))
        j = data.draw(st.integers(0, len(lines) - 1))
        match data.draw(st.sampled_from(["drop", "swap", "double"])):
            case "drop" if len(lines) > 1:
                del lines[i]
            case "swap":
                lines[i], lines[j] = lines[j], lines[i]
            case _:
                lines.insert(j, lines[i])
        if not lines:
            break
    check_survives(pair[0], "\n".join(lines).encode())


ODD = st.one_of(
    st.integers(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.booleans(),
    st.text(max_size=20).filter(lambda t: not any("\ud800" <= c <= "\udfff" for c in t)),
    st.sampled_from(
        ["3/8 in", "1/0 in", "-0.1", "M6", "M6x0.75-6H-LH", "M1x9", "barrel.mouth", "١٢", "1e9",
         "cap.mouth.external", ".", "..", "H8", "6H", "zz", "9" * 39, "0/5 in", "²"]
    ),
    st.just([]), st.just({}), st.lists(st.integers(0, 9), max_size=3),
    st.dates(), st.datetimes(), st.times(),
)  # fmt: skip


def leaves(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    below: list[tuple[str | int, ...]] = [path] if path else []
    items = (
        value.items() if isinstance(value, dict)
        else enumerate(value) if isinstance(value, list) else ()
    )  # fmt: skip
    for key, child in items:
        below += leaves(child, (*path, key))
    return below


def changed(data: dict[str, object], draw: st.DataObject) -> dict[str, object]:
    for _ in range(draw.draw(st.integers(1, 3))):
        path = draw.draw(st.sampled_from(leaves(data)))
        holder: object = data
        for step in path[:-1]:
            holder = holder[step]  # type: ignore[index]
        match draw.draw(st.sampled_from(["set", "set", "drop", "rename"])):
            case "drop" if isinstance(holder, dict) and len(data) > 1:
                del holder[path[-1]]
            case "rename" if isinstance(holder, dict):
                holder[f"{path[-1]}x"] = holder.pop(path[-1])
            case _:
                holder[path[-1]] = draw.draw(ODD)  # type: ignore[index]
    return data


@pytest.mark.parametrize(("kind", "name"), [("pen", "bittern"), ("shop", "small")])
@pytest.mark.parametrize("wrong", [{"odd": 1}, "\u00a7 odd", -7])
def test_one_fault_brings_no_other(kind: str, name: str, wrong: object) -> None:
    """Each value in turn is made wrong; whatever is told, is told of that value and no other."""
    told = 0
    for path in leaves(tomllib.loads(TEXTS[kind, name])):
        tree = tomllib.loads(TEXTS[kind, name])
        holder: object = tree
        for step in path[:-1]:
            holder = holder[step]  # type: ignore[index]
        if isinstance(holder[path[-1]], dict | list):  # type: ignore[index]
            continue
        holder[path[-1]] = wrong  # type: ignore[index]
        try:
            read(kind, tomlkit.dumps(tree).encode())
        except InputError as error:
            told += 1
            place = dotted(path)
            strange = [f for f in error.findings if not f.where.split(" ")[1].startswith(place)]
            assert not strange, (path, strange)
    assert told > 15


@settings(QUICK, max_examples=120)
@given(st.sampled_from(STARTERS), st.data())
def test_odd_values_never_raise_anything_else(pair: tuple[str, str], data: st.DataObject) -> None:
    tree = changed(tomllib.loads(TEXTS[pair]), data)
    text = tomlkit.dumps(tree)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        # What tomlkit cannot write (some control characters) is a test of tomlkit only.
        return
    check_survives(pair[0], text.encode())
    plain = json.loads(json.dumps(tomllib.loads(text), default=str))
    if any(VALIDATORS[pair[0]].iter_errors(plain)):
        # The published schema, in an independent library's hands, is never the stricter one,
        # but for a date, which JSON has to write as a text.
        with pytest.raises(InputError):
            read(pair[0], text.encode())
