"""``draw``: the pen itself to scale, as SVG or PDF."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive.disk import files
from mandrelgen.assess.resolved import resolve
from mandrelgen.core.errors import InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.pen_drawing import facts, states
from mandrelgen.paper.pen_drawing.drawing import PenDrawing, draw
from mandrelgen.paper.pen_drawing.outline import outlines
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.read_inputs import Inputs

ENDINGS = (".svg", ".pdf")


@dataclass(frozen=True, slots=True)
class Drawn:
    """The file written, the states drawn, what the drawing says in words."""

    file: Path
    states: tuple[str, ...]
    says: tuple[str, ...]


def draw_pen(inputs: Inputs, state: str | None, to: Path, dimensions: bool = True) -> Drawn:
    """Write the pen in ``state`` (None: a PDF shows every state, an SVG the last one known: as it
    is carried). Raises InputError for a state the file does not know or another ending,
    DiskError."""
    pen, shop = inputs.pen, inputs.shop
    there = states.known(pen)
    if state is not None and state not in there:
        raise InputError.of("draw", "--state", f"the file does not say how this pen is {state}",
                     f"choose one of: {', '.join(there)}")  # fmt: skip
    if to.suffix.lower() not in ENDINGS:
        raise InputError.of("draw", "--to", f"'{to.name}' is no name for the drawing",
                     "end it in .svg or .pdf")  # fmt: skip
    resolved = resolve(pen, shop)
    as_pdf = to.suffix.lower() == ".pdf"
    one = (state or (states.CAPPED if states.CAPPED in there else there[0]),)
    shown = there if state is None and as_pdf else one
    drawings = [draw(pen, shop, resolved, s, dimensions) for s in shown]
    said = says(pen, shop)
    files.make_folder(to.parent)
    files.write_file(to, _pdf(drawings, said) if as_pdf else _svg(drawings[0]))
    return Drawn(to, shown, said)


def says(pen: Pen, shop: Shop) -> tuple[str, ...]:
    """What the drawing shows, in words: joints, what goes inside what, walls that are thin."""
    resolved = resolve(pen, shop)
    return (
        *(f"{n}  {j.thread}, {j.external} in {j.internal}: {', '.join(j.says)}"
          for n, j in enumerate(facts.joint_facts(resolved), 1)),
        *(p.says for p in facts.passage_facts(pen, resolved)),
        *(z.says for z in facts.wall_zones(pen, resolved, outlines(pen, shop))
          if z.grade != facts.GOOD),
    )  # fmt: skip


def _svg(drawing: PenDrawing) -> bytes:
    from mandrelgen.files.writers import pen_svg

    return pen_svg.write(drawing)


def _pdf(drawings: list[PenDrawing], said: tuple[str, ...]) -> bytes:
    from mandrelgen.files.writers.pdf import pen_page

    return pen_page.write(drawings, said)
