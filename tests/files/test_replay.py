"""The painter of the drawing document against ezdxf's own drawing add-on: the same bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.writers.dxf import handles
from mandrelgen.files.writers.pdf import replay
from mandrelgen.files.writers.pdf.canvas import new_canvas
from mandrelgen.spec.pen import Pen
from mandrelgen.workflows.build import Build
from tests.support import ezdxf_replay
from tests.support.penroad import random_trees
from tests.support.proving import NAME, mandrels
from tests.support.randompens import SHOP

RANDOM, SEED = 12, 91
CUP = "wren/section-rear-cup"


def builds() -> Iterator[Build]:
    """Every starter's mandrel, and random ones."""
    for mandrel in mandrels().values():
        yield Build(mandrel, NAME)
    for tree in random_trees(RANDOM, SEED):
        try:
            pen = Pen.model_validate(tree)
        except ValueError:
            continue
        for d in designs(pen, SHOP):
            if d.mandrel is not None:
                yield Build(d.mandrel, NAME)


def painted(build: Build, by: Callable[[Any, Any, Any, Any], None]) -> bytes:
    """The drawing's pages, not compressed."""
    canvas, stream = new_canvas(build.sheet.width, build.sheet.height, {})
    canvas.setPageCompression(0)
    doc = build.document
    for one, shown in zip(build.sheet.sheets, handles(build.sheet, doc), strict=True):
        by(one, doc, shown, canvas)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def test_the_drawing_is_painted_as_ezdxfs_drawing_add_on_paints_it() -> None:
    count, two, kinds = 0, 0, set()
    for build in builds():
        ours = painted(build, replay.replay)
        assert ours == painted(build, ezdxf_replay.replay), build.mandrel.id
        assert b" Tj" in ours
        count += 1
        two += bool(build.sheet.more)
        kinds |= {e.dxftype() for e in build.document.modelspace()}
    assert count > len(mandrels())
    assert two > 0
    assert kinds == {"LINE", "LWPOLYLINE", "CIRCLE", "ARC", "HATCH", "TEXT", "DIMENSION"}


def test_what_the_painter_does_not_know_is_refused() -> None:
    """Nothing of the document is left out without a word."""
    build = Build(mandrels()[CUP], NAME)
    msp = build.document.modelspace()
    msp.add_point((0, 0))
    with pytest.raises(TypeError, match="a sheet has no POINT"):
        painted(build, replay.replay)
    msp.delete_entity(msp[-1])
    msp.add_text("x").set_placement((0, 0), align=ezdxf_alignment("TOP_LEFT"))
    with pytest.raises(TypeError, match="a sheet has no text aligned TOP_LEFT"):
        painted(build, replay.replay)


def ezdxf_alignment(name: str) -> Any:
    from ezdxf.enums import TextEntityAlignment

    return TextEntityAlignment[name]
