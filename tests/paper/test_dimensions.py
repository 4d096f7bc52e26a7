"""The drawing says the part completely and once: proved from the design's side (a tree of
dimensions) and from the paper's side (the part rebuilt from the DXF alone, against the STEP)."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.core.resources import template_path
from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.files.writers import dxf, step
from mandrelgen.geometry.kernel import measure
from mandrelgen.geometry.kernel.exchange import from_step
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.half_section import outline, plain
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from mandrelgen.workflows.read_inputs import read_inputs
from tests.support import redraw
from tests.support.randompens import SHOP, double_ended_pens, pens
from tests.support.samples_sheet import ISSUE

STARTERS = (("heron", "bench"), ("wren", "bench"), ("bittern", "small"))
# Each printed number may be half a step (0.0005 mm) off, and corners add up to three of them.
WITHIN = 0.0016


def starters() -> dict[str, Mandrel]:
    found = {}
    for pen, shop in STARTERS:
        inputs = read_inputs(
            Path(template_path(f"pens/{pen}.toml")), Path(template_path(f"shops/{shop}.toml"))
        )
        for d in designs(inputs.pen, inputs.shop):
            assert d.mandrel is not None
            found[f"{pen}-{d.mandrel.id}"] = d.mandrel
    return found


MANDRELS = starters()


def rebuilt(mandrel: Mandrel):
    return redraw.rebuild(dxf.write(drawing(mandrel, outline(mandrel), ISSUE)))


def in_the_solid(mandrel: Mandrel) -> list[tuple[float, float, float, float]]:
    """Lines of the STEP file's section that run along the axis, left to right."""
    data = step.write(
        plain(outline(mandrel)), number="T", description="T", timestamp="2026-03-14T00:00:00"
    )
    lines = measure.section(from_step(data), 0.4 if mandrel.flats is None else math.pi / 2 - 0.01)
    out = []
    for z0, r0, z1, r1 in lines:
        if abs(z1 - z0) > 1e-6:
            out.append((z0, r0, z1, r1) if z0 < z1 else (z1, r1, z0, r0))
    return joined(out)


def joined(lines: list[tuple[float, float, float, float]]):
    """Where a hole goes on behind its thread, or a cup's body before its shank, without a step,
    there is no edge."""
    out: list[tuple[float, float, float, float]] = []
    for z0, r0, z1, r1 in sorted(lines, key=lambda line: (round(line[1], 6), line[0])):
        if r0 == pytest.approx(r1) and out and out[-1] == pytest.approx((out[-1][0], r0, z0, r0)):
            z0 = out.pop()[0]
        out.append((z0, r0, z1, r1))
    return out


def close(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return all(abs(x - y) <= WITHIN for x, y in zip(a, b, strict=True))


def compare(mandrel: Mandrel) -> None:
    said, holes = rebuilt(mandrel)
    paper = joined(said)
    solid = in_the_solid(mandrel)
    for side in paper:
        assert any(close(side, line) for line in solid), (side, solid)
    left, right = min(s[0] for s in solid), max(s[2] for s in solid)
    unsaid = [line for line in solid if not any(close(line, side) for side in paper)]
    for line in unsaid:
        # What is left is said by a designation: centre holes, and points of drills.
        at = "rear" if line[0] - left < right - line[2] else "nose"
        _, mouth = holes.get(at, (0.0, 0.0))
        centre = max(line[1], line[3]) <= mouth / 2 + 1e-6
        assert centre or min(line[1], line[3]) < 1e-6, line
    for at, (pilot, mouth) in holes.items():
        # ISO 6411: the 60° cone from mouth to pilot is ((D − d)/2)·√3 deep.
        deep = (mouth - pilot) / 2 * math.sqrt(3)
        cone = (left, mouth / 2, left + deep, pilot / 2)
        if at == "nose":
            cone = (right - deep, pilot / 2, right, mouth / 2)
        assert any(close(cone, line) for line in solid), (at, cone)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_the_part_rebuilt_from_paper_alone_is_the_part_in_the_step(name: str) -> None:
    compare(MANDRELS[name])


REQUEST = '\n[[mandrels.requests]]\nid = "one"\n'
WISHES = {
    "double-ended": REQUEST + 'kind = "double-ended"\nholds = "barrel.mouth.internal"\n'
    'also_holds = "section.rear"\nshank_diameter = 16.0\n',
    "two cups": REQUEST + 'kind = "double-ended"\nholds = "finial.root"\n'
    'also_holds = "section.rear"\nshank_diameter = 16.0\n',
    "spigot and cup": REQUEST + 'kind = "double-ended"\nholds = "barrel.mouth.bore"\n'
    'also_holds = "section.rear"\nshank_diameter = 16.0\n',
    "spigot": REQUEST + 'kind = "spigot"\nholds = "barrel.mouth.bore"\n',
    "button": REQUEST + 'holds = "section.rear"\ntailstock_button = true\n',
    # A through bore cuts the view open along its whole length, flats and all.
    "through": REQUEST + 'holds = "section.rear"\nthrough_bore = 4.0\n',
    "blank": '\n[mandrels.defaults]\nthread_order = "blank"\n',
    # Taps that run out in the hole behind the thread: its depth ends at no corner.
    "two tapped cups": REQUEST + 'kind = "double-ended"\nholds = "finial.root"\n'
    'also_holds = "section.rear"\nshank_diameter = 16.0\nthread_order = "my-tool"\n',
    # A die that runs out at the seat, in the section's counterbore; a cup's tap into a groove.
    "no groove": REQUEST + 'holds = "section.front"\nthread_order = "my-tool"\n'
    'thread_relief = "none"\n',
    "no groove, at the second end": REQUEST + 'kind = "double-ended"\nholds = "section.rear"\n'
    'also_holds = "section.front"\nshank_diameter = 16.0\nthread_order = "my-tool"\n'
    'thread_relief = "none"\n',
    "groove under a tap": REQUEST + 'holds = "section.rear"\nthread_order = "my-tool"\n'
    'thread_relief = "groove"\n',
    "no spigot": "\n[mandrels.defaults]\nspigot_length = 0\n",
}


@pytest.mark.parametrize("wish", sorted(WISHES))
def test_every_kind_of_mandrel_is_rebuilt_from_paper_alone(wish: str) -> None:
    pen = read_pen(starter("pen", "heron") + WISHES[wish].encode(), "pen.toml")
    shop = effective_shop(read_shop(starter("shop", "bench"), "shop.toml"), pen)
    made = [d.mandrel for d in designs(pen, shop) if d.mandrel is not None]
    assert made
    for mandrel in made:
        compare(mandrel)


@pytest.mark.parametrize("which", [0, 1], ids=["go", "not-go"])
@pytest.mark.parametrize("external", [False, True], ids=["plug", "ring"])
@pytest.mark.parametrize("text", ["M12xPh2.4P0.8", "M9x0.75-LH", "M6x0.5"])
def test_gauges_are_rebuilt_from_paper_alone(text: str, external: bool, which: int) -> None:
    work = limits(parse(text), external)
    whose = Whose(
        pen="heron",
        part="cap",
        end="mouth",
        called="the cap's mouth",
        depth=0.0 if external else 8.0,
    )
    compare(gauge_pair(work, whose)[which])


# The same examples every time: tests/long goes on to others.
@settings(
    max_examples=3, deadline=None, derandomize=True, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(double_ended_pens())
def test_random_double_ended_parts_rebuilt_from_paper_alone(pen: Pen) -> None:
    for made in designs(pen, SHOP):
        if made.mandrel is not None:
            compare(made.mandrel)


# The same examples every time: tests/long goes on to others.
@settings(
    max_examples=6, deadline=None, derandomize=True, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(pens())
def test_random_parts_rebuilt_from_paper_alone(pen: Pen) -> None:
    for made in designs(pen, SHOP):
        if made.mandrel is not None:
            compare(made.mandrel)


@pytest.mark.parametrize(
    "what",
    ["relief.width", "nose.end", "collar.diameter", "chamfer.diameter", "relief.flank.angle"],
)
def test_a_size_that_is_missing_is_noticed(what: str) -> None:
    """The reader above is no friend of the drawing: without one dimension it gives up."""
    mandrel = MANDRELS["heron-cap-mouth-plug"]
    sheet = drawing(mandrel, outline(mandrel), ISSUE)
    kept = tuple(d for d in sheet.drawn if getattr(d, "id", "") != what)
    assert len(kept) < len(sheet.drawn)
    from dataclasses import replace

    with pytest.raises(redraw.UndimensionedError):
        redraw.rebuild(dxf.write(replace(sheet, drawn=kept)))


# The tree of dimensions, from the design's side


class Tree:
    """Unknowns are the axial position of every corner and the radius of every face; what the sheet
    says fixes one unknown each. ``known`` grows until nothing is left, or something is missing."""

    def __init__(self, mandrel: Mandrel, sheet: Sheet) -> None:
        self.mandrel = mandrel
        self.ends = (mandrel.outer[0].z0, mandrel.outer[-1].z1)
        self.known: set[object] = {self.at(mandrel.outer[0], 0.0)}
        self.rules: list[tuple[str, frozenset[object]]] = []
        self.unknown: set[object] = set()
        for row in (mandrel.outer, mandrel.inner):
            for s in row:
                self.unknown |= {self.at(s, s.z0), self.at(s, s.z1), *self.radii(s)}
        self.said(sheet)
        self.conventions(sheet)

    def at(self, s: Stretch, z: float) -> object:
        """The axial position ``z`` on the outside or in the bores; the end faces are common."""
        if any(abs(z - e) < 1e-6 for e in self.ends):
            return ("z", "end", round(z, 6))
        return ("z", s in self.mandrel.outer, round(z, 6))

    def radii(self, s: Stretch) -> tuple[object, object]:
        """A cylinder has one radius, by its name. A cone's end has the radius of the cylinder it
        runs into, else its own."""
        if abs(s.d1 - s.d0) < 1e-6:
            return (("r", s.feature), ("r", s.feature))
        row = self.mandrel.outer if s in self.mandrel.outer else self.mandrel.inner
        out = []
        for z, d in ((s.z0, s.d0), (s.z1, s.d1)):
            name = f"{s.feature} at {z:.6f}"
            for o in row:
                touches = abs(o.z0 - z) < 1e-6 or abs(o.z1 - z) < 1e-6
                if o is not s and touches and abs(o.d0 - o.d1) < 1e-6 and abs(o.d0 - d) < 1e-6:
                    name = o.feature
            out.append(("r", name))
        return out[0], out[1]

    def said(self, sheet: Sheet) -> None:
        """One rule for each dimension of the sheet."""
        m = self.mandrel
        every = (*m.outer, *m.inner)
        for d in sheet.dimensions():
            if not d.id:
                continue  # in brackets: auxiliary
            c = m.characteristic(d.id)
            mine = [s for s in every if s.feature == c.feature]
            if c.kind in (Kind.LENGTH, Kind.CHAMFER):
                inside = bool(mine) and mine[0] in m.inner
                row = mine[0] if inside else m.outer[1]
                assert c.between is not None
                self.rules.append((c.id, frozenset(self.at(row, m.stations[n]) for n in c.between)))
            if c.kind is Kind.CHAMFER:
                a, b = sorted(m.stations[n] for n in c.between or ())
                cone = next(s for s in every if abs(s.z0 - a) + abs(s.z1 - b) < 1e-6)
                self.rules.append((f"{c.id} angle", self.cone(cone)))
            elif c.kind is Kind.ANGLE:
                self.rules.append((c.id, self.cone(next(s for s in mine if s.d0 != s.d1))))
            elif c.kind is Kind.DIAMETER:
                ends = [
                    n for s in mine for n, v in zip(self.radii(s), (s.d0, s.d1), strict=True)
                    if abs(v - c.nominal) < 1e-6
                ]  # fmt: skip
                self.rules.append((c.id, frozenset(ends[:1])))
                behind = [m.characteristic(a.id) for a in sheet.marks("angle")]
                if any(a.feature == c.feature for a in behind):
                    cone = next(s for s in mine if s.d0 != s.d1)
                    self.rules.append((f"{c.id} angle", self.cone(cone)))
            elif c.kind is Kind.THREAD_MAJOR:
                self.rules.append((c.id, frozenset([("r", c.feature)])))

    def cone(self, s: Stretch) -> frozenset[object]:
        return frozenset([self.at(s, s.z0), self.at(s, s.z1), *self.radii(s)])

    def conventions(self, sheet: Sheet) -> None:
        """Centre holes are said by their designation; points of drills are not dimensioned."""
        for s in (*self.mandrel.outer, *self.mandrel.inner):
            parts = {self.at(s, s.z0), self.at(s, s.z1), *self.radii(s)}
            if s.feature.startswith("centre."):
                said = {m.id.rsplit(".", 1)[0] for m in sheet.marks("centre hole")}
                assert s.feature in said
                self.known |= {p for p in parts if p[1] != "end"}  # type: ignore[index]
            elif s.thread is not None and s.thread.fade:
                # A run-out is no edge: the hole or the land goes on at the thread's diameter.
                row = self.mandrel.outer if s in self.mandrel.outer else self.mandrel.inner
                hole = next(o for o in row if o.z1 == s.z0 or o.z0 == s.z1
                            if o.d0 == o.d1 == s.d0)  # fmt: skip
                self.known |= {self.at(s, s.z0 if hole.z1 == s.z0 else s.z1), *self.radii(hole)}
            elif min(s.d0, s.d1) < 1e-6:
                tip, z = (0, s.z0) if s.d0 < s.d1 else (1, s.z1)
                self.known |= {self.radii(s)[tip], self.at(s, z)}

    def grow(self) -> None:
        """Use each rule once, when it has just one unknown left."""
        left = list(self.rules)
        while left:
            step = next((r for r in left if len(r[1] - self.known) == 1), None)
            if step is None:
                twice = [name for name, parts in left if not parts - self.known]
                raise AssertionError(f"said twice: {twice}; open: {[n for n, _ in left]}")
            self.known |= step[1]
            left.remove(step)
        assert not self.unknown - self.known, self.unknown - self.known


def check_tree(mandrel: Mandrel) -> None:
    sheet = drawing(mandrel, outline(mandrel), ISSUE)
    Tree(mandrel, sheet).grow()
    # What the part's end feels is measured from the seat, without a chain between.
    for c in mandrel.characteristics:
        if c.functional and c.kind is Kind.LENGTH:
            assert c.between is not None
            assert any(n in ("seat", "b.seat") for n in c.between), c.id


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_dimensions_are_a_tree_that_fixes_everything_once(name: str) -> None:
    check_tree(MANDRELS[name])


@settings(max_examples=25, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_dimensions_of_random_mandrels_are_a_tree(pen: Pen) -> None:
    for made in designs(pen, SHOP):
        if made.mandrel is not None:
            check_tree(made.mandrel)


def test_a_closed_chain_of_dimensions_is_noticed() -> None:
    mandrel = MANDRELS["heron-cap-mouth-plug"]
    tree = Tree(mandrel, drawing(mandrel, outline(mandrel), ISSUE))
    ends = frozenset(("z", "end", round(e, 6)) for e in tree.ends)
    tree.rules.append(("overall", ends))
    with pytest.raises(AssertionError, match="said twice"):
        tree.grow()
