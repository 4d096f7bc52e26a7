"""Items of a sheet: moving one changes its place and nothing else; the replay's measures."""

from __future__ import annotations

import pytest
from ezdxf.fonts import fonts

import mandrelgen.files.dxf_setup  # noqa: F401  (before ezdxf: only our own font takes part)
from mandrelgen.paper.drawing.model import Arc, Fill, Item, Line, LineStyle, Text
from tests.support.ezdxf_replay import Lettering

# No field stands at its default, so that one forgotten by `moved` shows.
ITEMS: tuple[Item, ...] = (
    Line(((1.0, 2.0), (3.0, 4.0)), LineStyle.DIM, True),
    Arc(centre=(1.0, 2.0), radius=3.0, pen=LineStyle.DIM, start=10.0, end=80.0),
    Fill(((1.0, 2.0), (3.0, 4.0), (5.0, 0.0)), LineStyle.DIM),
    Text(at=(1.0, 2.0), text="M8", height=3.5, align="right", angle=90.0, pen=LineStyle.DIM),
)


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: type(i).__name__)
def test_moving_there_and_back_leaves_an_item_as_it_was(item: Item) -> None:
    assert item.moved(4.0, -8.0) != item
    assert item.moved(4.0, -8.0).moved(-4.0, 8.0) == item


@pytest.mark.parametrize("text", ["M12xPh2.4P0.8", "⌀ 11,9 ±0.02", "jpgq (y)"])
def test_the_replay_measures_text_as_ezdxf_reads_it_from_the_font_file(text: str) -> None:
    font = fonts.make_font("DejaVuSansCondensed.ttf", 1.0)
    ours = Lettering()
    assert ours.get_text_line_width(text, None, 3.5) == pytest.approx(
        font.text_width_ex(text, 3.5), rel=1e-12
    )
    assert tuple(ours.get_font_measurements(None, 3.5)) == pytest.approx(
        tuple(font.measurements.scale(3.5)), rel=1e-12
    )
