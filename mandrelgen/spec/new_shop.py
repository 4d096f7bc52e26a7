"""A new shop file from what its maker said: only that; what was not said stands as a comment."""

from __future__ import annotations

import re
from collections.abc import Iterator

from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.new_file import SCHEMA_LINE, beside, line, number, quoted, unknown

_SET = re.compile(r"\s*(?P<system>ER\s*\d+\s*M?|(?:DIN\s*)?ISO\s*15488-\d+|[^:]+(?=:))\s*:?", re.I)
_RANGE = re.compile(r"(\d{1,2})\s*(?:-|to|…|\.\.\.?)\s*(\d{1,2})")


@dataclass(frozen=True, slots=True)
class SaidShop:
    """A shop as far as it was said; threads and collet sizes as typed."""

    system: str = ""
    sizes: tuple[str, ...] = ()
    taps: tuple[str, ...] = ()
    dies: tuple[str, ...] = ()

    @property
    def threads(self) -> tuple[str, ...]:
        """The threads of taps and dies, each once."""
        return tuple(dict.fromkeys((*self.taps, *self.dies)))


def collets(said: str) -> tuple[str, tuple[str, ...]]:
    """System and sizes of ``ER25 6 8 10``, ``ER25: 4 to 16`` or ``ER25 6, 8, 3/8 in``.

    Raises ValueError for anything else.
    """
    found = _SET.match(said)
    if found is None or not said[found.end() :].strip():
        raise ValueError(f"'{said[:40]}' is not a system and its sizes")
    sizes: list[str] = []
    rest = _RANGE.sub(_spread, said[found.end() :])
    for size in re.split(r"[,;]\s*|\s+(?!in\b|mm\b|\d+/)", rest.strip()):
        if size:
            number(size)
            sizes.append(size)
    return found["system"].strip(), tuple(dict.fromkeys(sizes))


def _spread(found: re.Match[str]) -> str:
    return " ".join(str(n) for n in range(int(found[1]), int(found[2]) + 1))


def written(shop: SaidShop) -> bytes:
    """The file's text, UTF-8."""
    return ("\n".join(_lines(shop)).rstrip() + "\n").encode()


def _lines(shop: SaidShop) -> Iterator[str]:
    yield SCHEMA_LINE.format(kind="shop")
    yield "# Your workshop, kept once for every pen. Sizes in mm. Lines that begin with # are"
    yield "# comments; uncomment to use. Every key in plain words: mandrelgen keys"
    yield line("schema", "1", "the form of this file")
    yield unknown("name", '""', "of your workshop: signs the request")
    yield unknown("address", '""', "on one line")
    yield unknown("phone", '""', "for the request")
    yield ""
    yield from _collets(shop)
    for kind, threads in (("taps", shop.taps), ("dies", shop.dies)):
        yield ""
        yield from _tools(kind, threads)
    yield ""
    yield from _not_asked()


def _collets(shop: SaidShop) -> Iterator[str]:
    if shop.system:
        yield "[[collets]]"
        yield line("system", quoted(shop.system), "the letters on the collet")
        sizes = f"[{', '.join(number(s) for s in shop.sizes)}]"
        yield line("sizes", sizes, "those on the shelf")
    else:
        yield beside("# [[collets]]", "not said: a shank of 12 is taken until you do")
        yield unknown("system", '""', "the letters on the collet: ER25, or ISO 15488-25")
        yield unknown("sizes", "[]", "those on the shelf")
    yield unknown("nut_diameter", "0.0", "outside diameter of the clamping nut")
    yield unknown("nut_length", "0.0", "how far it stands in front of the collet")
    yield unknown("depth_behind", "0.0", "free depth behind the collet, to the draw-bar")


def _tools(kind: str, threads: tuple[str, ...]) -> Iterator[str]:
    one = kind.removesuffix("s")
    for thread in threads:
        yield f"[[{kind}]]"
        yield line("thread", quoted(thread), f"a {one} of my own")
    if not threads:
        yield beside(f"# [[{kind}]]", f"a {one} of my own: one table each")
        yield unknown("thread", '""', "what it cuts, as the trade writes it")
    if kind == "taps":
        yield unknown("lead", "0.0", "what it leaves without full form at the bottom")
    else:
        yield unknown("incomplete", "0.0", "what it leaves without full form at a shoulder")


def _not_asked() -> Iterator[str]:
    yield beside("# [instruments.caliper]", "each with its uncertainty; a usual one if left out")
    yield unknown("kind", '"caliper"', "caliper, micrometer, pins, wires …")
    yield unknown("uncertainty", "0.0", "of a reading (k = 2)")
    yield ""
    yield beside("# [lathe]", "my wood lathe; a usual one if left out")
    yield unknown("max_speed", "0", "1/min")
    yield unknown("power", "0", "W")
    yield unknown("tailstock", "true", "false if it has none")
    yield unknown("chuck", '""', "taper, taper-draw-bar, thread or thread-locked")
    yield unknown("run_out_nut", "0.0", "on a ground pin in the collet, at the nut")
    yield unknown("run_out_40", "0.0", "and 40 further out, at the same mark")
    yield unknown("tailstock_height", "0.0", "its centre above (+) or below (-) the spindle's")
    yield unknown("tailstock_side", "0.0", "to the front (+) or back (-)")
    yield unknown("drill_drift", "0.0", "how far a hole drilled 50 deep ran off")
    yield ""
    yield beside("# [turner]", "the metal lathe of who makes the mandrels: ask them")
    yield unknown("lead_screw", '"3 mm"', 'or "8 TPI"')
    yield unknown("gears", "[]", "teeth of the change gears")
