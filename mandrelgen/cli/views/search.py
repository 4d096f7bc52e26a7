"""What the archive's commands print, as text and as --json; values come from the results."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from mandrelgen.archive.compare import Change, Comparison, Difference
from mandrelgen.archive.import_ import Taken
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.record_files import Entry
from mandrelgen.cli.views.json import finding
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows import reuse
from mandrelgen.workflows.adopt import Adopted
from mandrelgen.workflows.holds import Holds
from mandrelgen.workflows.reuse_judging import Offer
from mandrelgen.workflows.search import COLUMNS, Found, cells

View = dict[str, Any]
SHOWN = ("number", "revision", "status", "kind", "pen", "part", "thread", "spigot", "shank",
         "checked", "title")  # fmt: skip


def row_view(row: IndexRow) -> View:
    """One fixture: the columns of the list, all limits and threads in numbers."""
    return {
        **dict(zip(COLUMNS, cells(row), strict=True)),
        "folder": row.folder,
        "newest": bool(row.newest),
        "owned": bool(row.owned),
        "adopted": row.adopted,
        "threads": [asdict(t) for t in row.threads],
        "sizes": [
            {"name": s.name, "low": round(s.low, 6), "high": round(s.high, 6)} for s in row.sizes
        ],
    }


def found_view(found: Found) -> View:
    """What ``find --json`` prints."""
    return {
        "fixtures": [row_view(r) for r in found.rows],
        "findings": [finding(f) for f in found.findings],
    }


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


def _entry(e: Entry) -> View:
    return {"number": e.number, "revision": e.revision, "draft": e.draft, "title": e.record.title}


def compare_view(c: Comparison) -> View:
    """What ``compare --json`` prints; every line, also what is the same."""

    def lines(row: Sequence[Difference]) -> list[View]:
        return [
            {"id": x.id, "first": x.first, "second": x.second, "change": x.change.value}
            for x in row
        ]

    return {
        "first": _entry(c.first),
        "second": _entry(c.second),
        "same_design": c.same_design,
        "facts": lines(c.facts),
        "characteristics": lines(c.sizes),
        "decisions": lines(c.decisions),
        "notes": lines(c.notes),
        "readings": lines(c.read),
    }


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


def offer_view(o: Offer) -> View:
    """One offer: the fixture, its step against a new one's, what differs."""
    return {
        "mandrel": o.planned,
        "fixture": row_view(o.row),
        "as_good": o.as_good,
        "joint_step": round(o.fitting.step, 6),
        "joint_step_new": None if o.new_step is None else round(o.new_step, 6),
        "target_met": o.fitting.met,
        "differs": list(o.fitting.differs),
        "weaker": list(o.weaker),
        "readings": sorted({r.id for r in o.read}),
        "last_check": o.row.checked,
    }


def looked_view(looked: reuse.Looked) -> View:
    """What ``reuse --json`` prints."""
    return {
        "offers": [offer_view(o) for o in looked.offers],
        "left_out": sorted(looked.owned),
        "findings": [finding(f) for f in looked.findings],
    }


def looked_text(looked: reuse.Looked) -> str:
    """Every offer, best first."""
    if not looked.offers:
        return "no fixture of the archive would do"
    return "\n".join(f"{o.planned}: {reuse.said(o)}" for o in looked.offers)


def holds_view(h: Holds) -> View:
    """What ``holds --json`` prints."""
    return {
        "fixture": row_view(h.row),
        "pens": list(h.pens),
        "holds": [
            {
                "pen": x.pen, "part": x.hold.part, "end": x.hold.end, "by": x.hold.by,
                "joint_step": round(x.fitting.step, 6), "target_met": x.fitting.met,
            }
            for x in h.held
        ],
    }  # fmt: skip


def holds_text(h: Holds) -> str:
    """The ends a fixture holds, a line each."""
    head = f"{h.row.name}: {h.row.title}"
    if h.row.checked:
        head += f", last measured {h.row.checked}"
    if not h.held:
        return f"{head}\n  holds nothing of {', '.join(h.pens) or 'no pen'}"
    lines = [
        f"  {x.pen}: {x.hold.text} by its {x.hold.by} "
        f"{'thread' if x.hold.by != 'bore' else 'side'}, joint step {text_of(x.fitting.step)}"
        for x in h.held
    ]
    return "\n".join([head, *lines])


def adopted_text(a: Adopted) -> str:
    """Where an old fixture stands now, and what was assumed."""
    e = a.entry
    there = " (already there)" if a.existed else ""
    return "\n".join([f"{e.number} {e.revision}  {a.mandrel.title}{there}",
                      *(f"  {n}" for n in a.mandrel.notes)])  # fmt: skip


def adopted_view(a: Adopted) -> View:
    """What ``adopt --json`` prints."""
    return {**_entry(a.entry), "existed": a.existed, "notes": list(a.mandrel.notes)}


def taken_text(taken: Sequence[Taken]) -> str:
    """What became of everything in an export."""
    return "\n".join(
        f"{t.given}: {t.what.value}" + (f", {t.here}" if t.here != t.given else "") for t in taken
    )


def taken_view(taken: Sequence[Taken]) -> View:
    """What ``import --json`` prints."""
    return {"taken": [{"given": t.given, "here": t.here, "what": t.what.value} for t in taken]}
