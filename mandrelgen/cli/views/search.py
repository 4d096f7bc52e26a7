"""What the archive's commands print as text; values come from the results."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.archive.compare import Change, Comparison
from mandrelgen.archive.import_ import Taken
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows import reuse
from mandrelgen.workflows.adopt import Adopted
from mandrelgen.workflows.holds import Holds
from mandrelgen.workflows.search import COLUMNS, Found, cells

SHOWN = ("number", "revision", "status", "kind", "pen", "part", "thread", "spigot", "shank",
         "checked", "title")  # fmt: skip


def found_text(found: Found) -> str:
    """The list as a table."""
    if not found.rows:
        return "nothing found"
    at = [COLUMNS.index(name) for name in SHOWN]
    table = [list(SHOWN)]
    for row in found.rows:
        line = cells(row)
        table.append([text_of(c) if isinstance(c, float) else str(c or "") for c in
                      (line[i] for i in at)])  # fmt: skip
    widths = [max(len(line[i]) for line in table) for i in range(len(SHOWN))]
    lines = [
        "  ".join(c.ljust(w) for c, w in zip(line, widths, strict=True)).rstrip() for line in table
    ]
    return "\n".join(lines)


def compare_text(c: Comparison) -> str:
    """What differs, and how much is the same."""
    names = [f"{e.number} {e.revision}{f'.{e.draft}' if e.draft > 1 else ''}"
             for e in (c.first, c.second)]  # fmt: skip
    out = [f"{names[0]} against {names[1]}: " + ("the same part" if c.same_design else "differ")]
    for title, row in (("facts", c.facts), ("sizes", c.sizes), ("decisions", c.decisions),
                       ("notes", c.notes), ("readings", c.read)):  # fmt: skip
        odd = [x for x in row if x.change is not Change.SAME]
        same = len(row) - len(odd)
        if row:
            out.append(f"\n{title}: {len(odd)} differ, {same} are the same")
        for x in odd:
            if title == "notes":
                out.append(f"  {x.change.value}: {x.id}")
            else:
                out.append(f"  {x.id}: {x.first or '-'}  |  {x.second or '-'}")
    return "\n".join(out)


def looked_text(looked: reuse.Looked) -> str:
    """Every offer, best first; then what would not do, and why."""
    lines = [f"{o.planned}: {reuse.said(o)}" for o in looked.offers]
    near = [f"{m.planned}: {m.row.name} would not do: {m.why}" for m in looked.near]
    return "\n".join([*(lines or ["no fixture of the archive would do"]), *near])


def holds_text(h: Holds) -> str:
    """The ends a fixture holds, a line each, and those it nearly holds, with the first reason."""
    head = f"{h.row.name}: {h.row.title}"
    if h.row.checked:
        head += f", last measured {h.row.checked}"
    near = [
        f"  {x.pen}: not {x.hold.text} by its {_by(x.hold.by)}: {x.fitting.hinders[0]}"
        for x in h.near
    ]
    if not h.held:
        return "\n".join([head, f"  holds nothing of {', '.join(h.pens) or 'no pen'}", *near])
    lines = [
        f"  {x.pen}: {x.hold.text} by its {_by(x.hold.by)}, joint step {text_of(x.fitting.step)}"
        for x in h.held
    ]
    return "\n".join([head, *lines, *near])


def _by(by: str) -> str:
    return "bore" if by == "bore" else f"{by} thread"


def adopted_text(a: Adopted) -> str:
    """Where an old fixture stands now, and what was assumed."""
    e = a.entry
    there = " (already there)" if a.existed else ""
    return "\n".join([f"{e.number} {e.revision}  {a.mandrel.title}{there}",
                      *(f"  {n}" for n in a.mandrel.notes)])  # fmt: skip


def taken_text(taken: Sequence[Taken]) -> str:
    """What became of everything in an export."""
    return "\n".join(
        f"{t.given}: {t.what.value}" + (f", {t.here}" if t.here != t.given else "") for t in taken
    )
