"""What the archive's commands say of fixtures, as plain values; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from mandrelgen.archive.compare import Comparison, Difference
from mandrelgen.archive.import_ import Taken
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.record_files import Entry
from mandrelgen.workflows import reuse
from mandrelgen.workflows.adopt import Adopted
from mandrelgen.workflows.answers.plain import View, rounded
from mandrelgen.workflows.answers.results import finding
from mandrelgen.workflows.holds import Holds
from mandrelgen.workflows.reuse_judging import Offer
from mandrelgen.workflows.search import COLUMNS, Found, cells


def fixture(row: IndexRow) -> View:
    """One fixture: the columns of the list, all limits and threads in numbers."""
    return {
        **dict(zip(COLUMNS, cells(row), strict=True)),
        "folder": row.folder,
        "newest": bool(row.newest),
        "owned": bool(row.owned),
        "adopted": row.adopted,
        "threads": [asdict(t) for t in row.threads],
        "sizes": [
            {"name": s.name, "low": rounded(s.low), "high": rounded(s.high)} for s in row.sizes
        ],
    }


def found_fixtures(found: Found) -> View:
    """What ``find --json`` prints."""
    return {
        "fixtures": [fixture(r) for r in found.rows],
        "findings": [finding(f) for f in found.findings],
    }


def _entry(e: Entry) -> View:
    return {"number": e.number, "revision": e.revision, "draft": e.draft, "title": e.record.title}


def compared(c: Comparison) -> View:
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


def offered(o: Offer) -> View:
    """One offer: the fixture, its step against a new one's, what differs."""
    return {
        "mandrel": o.planned,
        "fixture": fixture(o.row),
        "as_good": o.as_good,
        "joint_step": rounded(o.fitting.step),
        "joint_step_new": rounded(o.new_step),
        "target_met": o.fitting.met,
        "differs": list(o.fitting.differs),
        "weaker": list(o.weaker),
        "readings": sorted({r.id for r in o.read}),
        "last_check": o.row.checked,
    }


def reusable(looked: reuse.Looked) -> View:
    """What ``reuse --json`` prints."""
    return {
        "offers": [offered(o) for o in looked.offers],
        "left_out": sorted(looked.owned),
        "near": [{"mandrel": m.planned, "number": m.row.number, "why": m.why} for m in looked.near],
        "findings": [finding(f) for f in looked.findings],
    }


def held_by(h: Holds) -> View:
    """What ``holds --json`` prints."""
    return {
        "fixture": fixture(h.row),
        "pens": list(h.pens),
        "holds": [
            {
                "pen": x.pen, "part": x.hold.part, "end": x.hold.end, "by": x.hold.by,
                "joint_step": rounded(x.fitting.step), "target_met": x.fitting.met,
            }
            for x in h.held
        ],
        "near": [
            {
                "pen": x.pen, "part": x.hold.part, "end": x.hold.end, "by": x.hold.by,
                "why": list(x.fitting.hinders),
            }
            for x in h.near
        ],
    }  # fmt: skip


def adopted(a: Adopted) -> View:
    """What ``adopt --json`` prints."""
    return {**_entry(a.entry), "existed": a.existed, "notes": list(a.mandrel.notes)}


def taken_in(taken: Sequence[Taken]) -> View:
    """What ``import --json`` prints."""
    return {"taken": [{"given": t.given, "here": t.here, "what": t.what.value} for t in taken]}
