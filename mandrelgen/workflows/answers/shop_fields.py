"""What a person can say of the shop on the page, and what becomes of it in shop.toml; the wishes
that go for every mandrel."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.pen import FarEnd, Fit, ThreadOrder, ThreadRelief
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import ChuckMount, InstrumentKind
from mandrelgen.standards import iso_15488, materials
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows.answers.boxes import CHOICE, WHOLE, Choices, Field, Tree
from mandrelgen.workflows.answers.texts import label
from mandrelgen.workflows.bench_edits import ValueRefusedError, size_of
from mandrelgen.workflows.edit import Transform
from mandrelgen.workflows.read_inputs import SHOP

LETTERS = {"11": "ER11", "16": "ER16", "20": "ER20", "25": "ER25", "32": "ER32", "40": "ER40"}
"""What is engraved on the collets of each size (common practice, no source)."""
CHUCKS: Choices = (
    (ChuckMount.TAPER.value, label("in_the_taper_nothing_draws_it_in")),
    (ChuckMount.TAPER_DRAW_BAR.value, label("in_the_taper_with_a_draw_bar")),
    (ChuckMount.THREAD.value, label("on_the_spindle_s_thread")),
    (ChuckMount.THREAD_LOCKED.value, label("on_the_spindle_s_thread_locked")),
)
PLACES = tuple(range(1, 27))


@dataclass(frozen=True, slots=True)
class ShopForm:
    """The shop as the page asks for it; lengths as texts, empty where nothing is said.
    ``tools_said``: which taps and dies there are, if only that there are none."""

    there: bool
    name: str
    system: str
    systems: Choices
    sizes: tuple[str, ...]
    offered: tuple[str, ...]
    nut_diameter: str
    nut_length: str
    chuck: str
    chucks: Choices
    tailstock: bool
    max_speed: str
    taps: str
    dies: str
    more_sets: int
    tools_said: bool
    instruments: tuple[tuple[str, bool], ...]


def shop_form(data: bytes | None) -> ShopForm:
    """The form of a shop file, or an empty one. Raises InputError."""
    tree: Mapping[str, Any] = {}
    if data is not None:
        read_shop(data, SHOP)
        tree = tomllib.loads(data.decode("utf-8-sig"))
    t = Tree(tree)
    systems = tuple(
        (f"ISO 15488-{s.size}", f"{LETTERS.get(str(s.size), '')} (ISO 15488-{s.size})".strip())
        for s in iso_15488.sizes()
    )
    sets = tree.get("collets", [])
    own = [f"{float(_number(x)):g}" for x in (sets[0].get("sizes", []) if sets else [])]
    return ShopForm(
        there=bool(sets),
        name=t.text(("name",)),
        system=t.text(("collets", 0, "system")),
        systems=systems,
        sizes=tuple(own),
        offered=offered(t.text(("collets", 0, "system")), own),
        nut_diameter=t.text(("collets", 0, "nut_diameter")),
        nut_length=t.text(("collets", 0, "nut_length")),
        chuck=t.text(("lathe", "chuck")),
        chucks=CHUCKS,
        tailstock=t.text(("lathe", "tailstock")) != ""
        if "lathe" in tree and "tailstock" in tree["lathe"]
        else True,
        max_speed=t.text(("lathe", "max_speed")),
        taps=_tools(tree, "taps"),
        dies=_tools(tree, "dies"),
        more_sets=max(len(sets) - 1, 0),
        tools_said="taps" in tree or "dies" in tree,
        instruments=instruments(tree.get("instruments", {})),
    )


def offered(system: str, own: Sequence[str]) -> tuple[str, ...]:
    """The sizes to tick, whole mm, smallest first: those a system has (of one that is not known
    all), and what is ``own`` already."""
    size = iso_15488.system_size(system)
    held = None if size is None else iso_15488.collet_size(size)
    row = [n for n in PLACES if held is None or held.smallest <= n <= held.largest]
    return tuple(sorted({*own, *(str(n) for n in row)}, key=float))


ASKED = (InstrumentKind.CALIPER, InstrumentKind.MICROMETER, InstrumentKind.INDICATOR)
"""What the page asks after; other instruments stand in the file."""


def instruments(there: Mapping[str, Any]) -> tuple[tuple[str, bool], ...]:
    """The kinds that are asked after, and whether one of each is owned; where none is listed, a
    caliper is taken to be."""
    owned = {str(i.get("kind")) for i in there.values()} or {InstrumentKind.CALIPER.value}
    return tuple((k.value, k.value in owned) for k in ASKED)


def _number(value: object) -> float:
    from mandrelgen.core.lengths import Length

    return float(Length.parse(value))


def _tools(tree: Mapping[str, Any], key: str) -> str:
    return "\n".join(str(x.get("thread", "")) for x in tree.get(key, []))


TYPED = ("name", "system", "nut_diameter", "nut_length", "chuck", "max_speed", "taps", "dies")


def typed(form: ShopForm, given: Mapping[str, Sequence[str]]) -> ShopForm:
    """The form with what was typed and refused."""
    one = {k: given[k][-1] for k in TYPED if given.get(k)}
    ticks: dict[str, Any] = {}
    if "system" in given:
        ticks["sizes"] = tuple(given.get("sizes", ()))
        ticks["offered"] = offered(given["system"][-1], [s for s in ticks["sizes"] if _is_size(s)])
    if "lathe" in given:
        ticks["tailstock"] = "tailstock" in given
    if "instruments_asked" in given:
        have = given.get("instruments", ())
        ticks["instruments"] = tuple((kind, kind in have) for kind, _ in form.instruments)
    return replace(form, **{**one, **ticks})


def _is_size(text: str) -> bool:
    return text.replace(".", "", 1).isdecimal()


def set_shop(given: Mapping[str, Sequence[str]]) -> Transform:
    """What the form says put into the file's text: a box that is emptied takes its key out, a part
    form leaves the rest as it is. Raises ValueRefusedError."""
    one = {k: v[-1].strip() for k, v in given.items() if v}
    sizes = [size_of(s) for s in given.get("sizes", []) if s.strip()]
    system = one.get("system", "")
    nut = {k: size_of(one[k]) if one[k] else None for k in NUT if k in one}
    none = "lathe" in given and not (system or sizes or any(nut.values()))
    if "system" in given and not none and not (system and sizes):
        raise ValueRefusedError("collets: say the system and tick at least one size")
    threads = {k: _threads(one[k]) for k in ("taps", "dies") if k in one}
    lathe = _lathe(given, one)

    def transform(text: str) -> str:
        import tomlkit

        document: Any = tomlkit.parse(text)
        _put(document, {k: one[k] or None for k in ("name",) if k in one})
        if lathe:
            if "lathe" not in document:
                document["lathe"] = tomlkit.table()
            _put(document["lathe"], lathe)
        if system:
            _set_collets(document, system, sizes, nut)
        elif none and document.get("collets"):
            del document["collets"][0]
            if not document["collets"]:
                document.pop("collets")
        for key, wanted in threads.items():
            _set_tools(document, key, wanted)
        if "instruments_asked" in given:
            _set_instruments(document, given.get("instruments", ()))
        return tomlkit.dumps(document)

    return transform


NUT = ("nut_diameter", "nut_length")


def _lathe(given: Mapping[str, Sequence[str]], one: Mapping[str, str]) -> dict[str, Any]:
    """What is said of the lathe; None for what is emptied. Raises ValueRefusedError."""
    said: dict[str, Any] = {}
    if "chuck" in one:
        said["chuck"] = one["chuck"] or None
    if "max_speed" in one:
        if one["max_speed"] and not one["max_speed"].isdigit():
            raise ValueRefusedError("highest speed: a whole number of rpm")
        said["max_speed"] = int(one["max_speed"]) if one["max_speed"] else None
    if "lathe" in given:
        said["tailstock"] = "tailstock" in given
    return said


def _put(table: Any, values: Mapping[str, Any]) -> None:
    """Each value at its key; None takes the key out."""
    for key, value in values.items():
        if value is not None:
            table[key] = value
        elif key in table:
            del table[key]


def _set_collets(document: Any, system: str, sizes: list[Any], nut: Mapping[str, Any]) -> None:
    """The first set of collets; sizes that are the same stay as they are written."""
    import tomlkit

    if "collets" not in document:
        document["collets"] = tomlkit.aot()
        document["collets"].append(tomlkit.table())
    first = document["collets"][0]
    first["system"] = system
    if [float(_number(x)) for x in first.get("sizes", [])] != [float(_number(x)) for x in sizes]:
        first["sizes"] = [int(s) if isinstance(s, float) and s == int(s) else s for s in sizes]
    _put(first, nut)


def _threads(text: str) -> list[str]:
    found = []
    for line in text.splitlines():
        if line.strip():
            try:
                found.append(read_thread(line).text)
            except ValueError as e:
                raise ValueRefusedError(str(e)) from e
    return found


def _set_tools(document: Any, key: str, wanted: list[str]) -> None:
    """The list of taps or dies: what is there keeps its note, what is gone goes."""
    import tomlkit

    old = {read_thread(str(x["thread"])).text: x for x in document.get(key, [])}
    if list(old) == wanted and key in document:
        return
    row = tomlkit.aot()
    for name in wanted:
        table = tomlkit.table()
        table["thread"] = name
        if name in old and old[name].get("note"):
            table["note"] = old[name]["note"]
        row.append(table)
    # None is said too: it is not asked for again.
    document[key] = row if wanted else tomlkit.array()


def _set_instruments(document: Any, ticked: Sequence[str]) -> None:
    """One of each kind that is ticked; what is there keeps its name, uncertainty and note."""
    import tomlkit

    there = document.get("instruments", {})
    for kind in (k.value for k in ASKED):
        mine = [name for name, i in there.items() if i.get("kind") == kind]
        if kind in ticked and not mine:
            if "instruments" not in document:
                document["instruments"] = tomlkit.table(is_super_table=True)
            one = tomlkit.table()
            one["kind"] = kind
            document["instruments"][kind] = one
        for name in mine if kind not in ticked else ():
            del document["instruments"][name]
    if "instruments" in document and not document["instruments"]:
        del document["instruments"]


FITS: Choices = (
    (Fit.CLOSE.value, label("fit_close")),
    (Fit.NORMAL.value, label("fit_normal")),
    (Fit.FREE.value, label("fit_free")),
)  # fmt: skip
THREADING: Choices = (
    (ThreadOrder.SINGLE_POINT.value, label("the_turner_screwcuts_it")),
    (ThreadOrder.STOCK_TAP.value, label("the_turner_taps_it")),
    (ThreadOrder.MY_TOOL.value, label("cut_with_my_own_tap_or_die")),
    (ThreadOrder.BLANK.value, label("left_as_a_blank_i_thread_it")),
)
RELIEFS: Choices = (
    (ThreadRelief.GROOVE.value, label("relief_groove")),
    (ThreadRelief.NONE.value, label("relief_none")),
)
FAR_ENDS: Choices = (
    (FarEnd.PIP.value, label("far_end_pip")),
    (FarEnd.BUTTON.value, label("far_end_button")),
    (FarEnd.BORE.value, label("far_end_bore")),
    (FarEnd.NOTHING.value, label("far_end_nothing")),
)
METALS: Choices = tuple((m, m) for m in ("11SMn30", "C45", "1.4305", "CW614N", "6082-T6"))


def defaults_fields(values: Mapping[str, Any]) -> tuple[Field, ...]:
    """The wishes that go for every mandrel."""
    tree = Tree(values)
    kinds = tuple((m, f"{materials.material(m).name} ({m})") for m, _ in METALS)
    each = label("chosen_for_each")
    turner, relief = label("the_turner_cuts_it"), label("relief_chosen")

    def box(key: str, said: str, taken: str, choices: Choices = ()) -> Field:
        return Field(
            key=key,
            label=said,
            value=tree.text(tuple(key.split("."))),
            kind=CHOICE if choices else WHOLE,
            choices=choices,
            taken=taken,
        )

    return (
        box("mandrels.defaults.pens", label("how_many_pens_on_these_threads"), ""),
        box("mandrels.defaults.quantity", label("how_many_of_each_mandrel"), "1"),
        box("mandrels.defaults.material", label("material"), each, kinds),
        box("mandrels.defaults.fit", label("fit_of_the_thread"), each, FITS),
        box("mandrels.defaults.thread_order", label("thread"), turner, THREADING),
        box("mandrels.defaults.thread_relief", label("behind_the_thread"), relief, RELIEFS),
        box("mandrels.use.far_end", label("far_end"), label("not_said"), FAR_ENDS),
    )
