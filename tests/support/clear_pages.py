"""What every page of lettering has to keep to."""

from __future__ import annotations

import itertools

from mandrelgen.paper.drawing.model import Line, Page, flat
from mandrelgen.paper.reports import flow


def clear(leaf: Page, bottom: float = flow.BOTTOM) -> None:
    """Lettering inside the margins, none over another, no line through any."""
    boxes = []
    for t in leaf.texts():
        xs, ys = zip(*t.corners(), strict=True)
        assert min(xs) >= flow.LEFT - 1e-6, t.text
        assert max(xs) <= flow.RIGHT + 1e-6, t.text
        assert min(ys) >= bottom - 1e-6, t.text
        assert max(ys) <= flow.TOP + 1e-6, t.text
        assert t.height >= 2.5
        boxes.append((min(xs), min(ys), max(xs), max(ys), t.text))
    for a, b in itertools.combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (a[4], b[4])
    for line in (i for i in flat(leaf.drawn) if isinstance(i, Line)):
        for (xa, ya), (xb, yb) in itertools.pairwise(line.points):
            for x0, y0, x1, y1, text in boxes:
                # Samples every 0.2 mm or so are enough against letters 2.5 mm high.
                n = max(2, int(max(abs(xb - xa), abs(yb - ya)) / 0.2))
                if min(xa, xb) < x1 and max(xa, xb) > x0 and min(ya, yb) < y1 and max(ya, yb) > y0:
                    for k in range(n + 1):
                        x, y = xa + (xb - xa) * k / n, ya + (yb - ya) * k / n
                        assert not (x0 < x < x1 and y0 < y < y1), text
