"""Names on rods and bars: common practice, no source; a printer's material is none of a rod."""

from __future__ import annotations

import pytest

from mandrelgen.standards import material_names, materials
from mandrelgen.standards.material_names import MaterialAskedError, bar, cautions, rod, spoken
from mandrelgen.standards.tables import NotHeldError, load


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("cast acrylic", "cast-acrylic"), ("Acrylic rod", "cast-acrylic"),
        ("polyester resin", "polyester-resin"), ("Polyester", "polyester-resin"),
        ("urethane resin", "urethane-resin"), ("polyurethane", "urethane-resin"),
        ("hard rubber", "ebonite"), ("Ebonite", "ebonite"), ("EBONITE ROD", "ebonite"),
        ("celluloid", "celluloid"), ("cellulose acetate", "cellulose-acetate"),
        ("casein", "casein"), ("acetal", "acetal"), ("POM", "acetal"),
        ("stabilised wood", "stabilised-wood"), ("stabilized wood", "stabilised-wood"),
        ("wood", "wood"), ("casting-resin", "casting-resin"), ("brass", "CW614N"),
        ("hard_rubber", "ebonite"), ("hard   rubber", "ebonite"), ("6082 T6", "6082-T6"),
    ],
)  # fmt: skip
def test_a_rod_by_the_name_on_it(name: str, key: str) -> None:
    assert rod(name) == key
    assert materials.material(key).kind in ("plastic", "wood", "metal")


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("brass", "CW614N"), ("Brass bar", "CW614N"), ("stainless", "1.4305"),
        ("stainless steel", "1.4305"), ("303", "1.4305"), ("aluminium", "6082-T6"),
        ("aluminum", "6082-T6"), ("silver steel", "1.2210"), ("free-cutting steel", "11SMn30"),
        ("free cutting steel", "11SMn30"), ("leaded steel", "11SMnPb30"), ("11smn30", "11SMn30"),
        ("acetal", "acetal"), ("resin", "resin"), ("PLA", "PLA"),
    ],
)  # fmt: skip
def test_a_bar_by_its_name(name: str, key: str) -> None:
    assert bar(name) == key


def test_every_old_key_keeps_its_meaning() -> None:
    for key in materials.names():
        assert bar(key) == key
        if key != "resin":  # of a rod, resin alone is asked
            assert rod(key) == key


@pytest.mark.parametrize("name", ["resin", "Resin", "resin rod", "acrylic resin", "cellulose"])
def test_resin_alone_is_asked(name: str) -> None:
    with pytest.raises(MaterialAskedError) as e:
        rod(name)
    assert f"'{name}'" in e.value.message
    assert len(e.value.meanings) > 1
    for meaning in e.value.meanings:
        assert meaning in e.value.remedy
        assert rod(meaning) == meaning
        assert materials.material(meaning).kind != "printed"


@pytest.mark.parametrize(
    ("name", "meanings"),
    [
        ("steel", {"11SMn30", "11SMnPb30", "1.4305", "C45", "1.2210"}),
        ("Plastic bar", {"cast-acrylic", "polyester-resin", "urethane-resin", "acetal"}),
    ],
)
def test_a_bar_that_could_be_several_is_asked_with_each(name: str, meanings: set[str]) -> None:
    with pytest.raises(MaterialAskedError) as e:
        bar(name)
    assert f"'{name}'" in e.value.message
    assert set(e.value.meanings) == meanings
    assert all(bar(meaning) == meaning for meaning in meanings)


@pytest.mark.parametrize(
    ("name", "is_one"),
    # Of a rod resin is asked, but the key itself is a printed material's.
    [("resin", True), ("PLA", True), ("tough resin", True), ("acetal", False), ("brass", False)],
)
def test_whether_a_name_is_a_printers(name: str, is_one: bool) -> None:
    assert material_names.is_printers(name) is is_one


def test_what_is_held_instead_is_listed_by_its_keys() -> None:
    kinds = {key: materials.material(key).kind for key in materials.names()}
    for ask, keys in (
        (rod, set(load(material_names.TABLE)["rods"])),
        (bar, {key for key, kind in kinds.items() if kind == "printed"}),
    ):
        with pytest.raises(NotHeldError) as e:
            ask("ABS")
        first, *others = e.value.remedy.split(", ")
        assert {first.split()[-1], *others} == keys


@pytest.mark.parametrize("name", ["PLA", "petg", "ABS", "ASA", "photopolymer", "printer resin"])
def test_a_printers_material_is_never_taken_for_a_rods(name: str) -> None:
    assert material_names.is_printers(name)
    if name.upper() in materials.names():  # its own key, and printed values
        assert materials.material(rod(name)).kind == "printed"
    else:
        with pytest.raises(NotHeldError, match="printer's material"):
            rod(name)


def test_every_rod_has_its_cautions_and_every_name_its_values() -> None:
    table = load(material_names.TABLE)
    for key, row in table["rods"].items():
        assert cautions(key)
        assert all(rod(n) == key for n in row["names"])
    for key, row in table["bars"].items():
        assert all(bar(n) == key for n in row["names"])
        assert not cautions(key)
    assert any("flammable" in c for c in cautions("celluloid"))
    assert any("wet sanding" in c for c in cautions("casein"))
    assert any("chips" in c for c in cautions("polyester-resin"))
    assert any("soften" in c for c in cautions("urethane-resin"))


def test_a_metal_is_said_with_its_code_behind() -> None:
    assert spoken("CW614N") == "brass CuZn39Pb3 R430 (CW614N)"
    assert spoken("ebonite") == "hard rubber (ebonite)"
    assert spoken("unheard-of") == "unheard-of"


def test_an_unknown_name_is_refused_with_what_is_held() -> None:
    with pytest.raises(NotHeldError, match="not known"):
        rod("moonstone")


def test_a_name_that_is_not_read_stays_for_the_check_to_tell() -> None:
    """*resin* of a rod could be several materials; of a bar it is the printed one."""
    assert (
        material_names.rod_or_name("Brass bar") == material_names.bar_or_name("brass") == "CW614N"
    )
    assert material_names.rod_or_name("Resin") == "Resin"
    assert material_names.bar_or_name("Resin") == "resin"
    assert material_names.rod_or_name("moonstone") == "moonstone"
    assert material_names.bar_or_name("moonstone") == "moonstone"


@pytest.mark.parametrize(
    ("key", "name"),
    # Common practice, no source.
    [("CW614N", "brass"), ("ebonite", "hard rubber"), ("celluloid", "celluloid"), ("PLA", "PLA"),
     ("unheard-of", "unheard-of")],
)  # fmt: skip
def test_what_the_trade_calls_it(key: str, name: str) -> None:
    assert material_names.common(key) == name


def test_a_code_that_stands_in_the_name_is_not_said_twice() -> None:
    for key in materials.names():
        assert spoken(key).count(key) == 1 or materials.material(key).kind != "metal"
