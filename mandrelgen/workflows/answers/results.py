"""The --json outputs: plain values made from results, nothing computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

from mandrelgen.assess.words import Answer, summary
from mandrelgen.core.errors import Finding, Remedy
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.remark import dotted
from mandrelgen.standards.threads import Band, ThreadLimits
from mandrelgen.workflows.answers.assessment import verdict
from mandrelgen.workflows.answers.plain import View, rounded

if TYPE_CHECKING:
    from mandrelgen.archive.manifest import Fault
    from mandrelgen.assess.asking_cost import Asked, Figures
    from mandrelgen.design.designed import Designed
    from mandrelgen.workflows.check import Checked
    from mandrelgen.workflows.made import MadeSet


def finding(f: Finding) -> View:
    """One finding."""
    return {
        "level": f.level.value,
        "code": f.code,
        "where": f.where,
        "message": f.message,
        "remedy": f.remedy,
        "remedies": [remedy(r) for r in f.remedies],
    }


def remedy(r: Remedy) -> View:
    """A remedy as a patch; ``also``: changes that belong to it, where one is not enough."""
    first, *more = [{"path": dotted(c.path), "value": c.value} for c in r.changes]
    return {**first, "says": r.says, **({"also": more} if more else {})}


def failure(findings: Sequence[Finding]) -> View:
    """What --json prints when a run could not start or stopped."""
    return {"findings": [finding(f) for f in findings], "mandrels": []}


def thread(t: ThreadLimits) -> View:
    """A thread's limits; null where the standard sets none."""
    d = t.designation
    return {
        "designation": d.text,
        "external": t.external,
        "tolerance_class": t.tolerance_class,
        "starts": d.starts,
        "pitch": rounded(d.pitch),
        "lead": rounded(d.lead),
        "lead_angle": rounded(t.lead_angle),
        "hand": "left" if d.left_hand else "right",
        "basic": {k: rounded(v) for k, v in asdict(t.basic).items()},
        "limits": {"major": _band(t.major), "pitch": _band(t.pitch), "minor": _band(t.minor)},
        "source": t.source,
        "extended": t.extended,
    }


def characteristic(c: Characteristic) -> View:
    """One characteristic."""
    return {
        "id": c.id,
        "kind": c.kind.value,
        "feature": c.feature,
        "nominal": rounded(c.nominal),
        "lower": rounded(c.lower),
        "upper": rounded(c.upper),
        "unit": c.unit,
        "tolerance": c.written,
        "general": c.general,
        "source": c.source,
        "decision": c.decision,
    }


def mandrel(m: Mandrel) -> View:
    """One designed mandrel."""
    return {
        "id": m.id,
        "kind": m.kind.value,
        "part": m.part,
        "end": m.end,
        "title": m.title,
        "purpose": m.purpose,
        "material": m.ordering.material,
        "quantity": m.ordering.quantity,
        "characteristics": [characteristic(c) for c in m.characteristics],
        "threads": [
            {
                **thread(t.limits),
                "full_pitches": rounded(t.full_pitches),
                "turns_of_lead": rounded(t.turns_of_lead),
                "order": t.order,
            }
            for t in m.threads
        ],
        "decisions": [asdict(d) for d in m.decisions],
        "notes": list(m.notes),
        "cautions": list(m.cautions),
    }


def designed(d: Designed) -> View:
    """One planned mandrel with its verdict (a double-ended one's other end: ``verdict_b``); of one
    that cannot be designed its name alone."""
    return {
        **(_unmade(d) if d.mandrel is None else mandrel(d.mandrel)),
        "verdict": None if d.verdict is None else verdict(d.verdict),
        "verdict_b": None if d.verdict_b is None else verdict(d.verdict_b),
    }


def cost(a: Asked) -> View:
    """A dear tolerance: what it takes, and the figures now and with it loosened, mm (95 %)."""
    return {
        "characteristics": list(a.ids),
        "asked": a.demand.asked,
        "process": a.process.said,
        "gauge_kept": not a.gauge,
        "loosened": a.demand.looser_text,
        "now": _figures(a.now),
        "then": _figures(a.loosened),
        "remedies": [remedy(r) for r in a.remedies],
    }


def _figures(f: Figures) -> View:
    return {
        "joint_step": rounded(f.mismatch),
        "remount": rounded(f.remounted),
        "thinnest_wall": None if f.wall is None else rounded(f.wall),
        "lasts_pens": None if f.pens is None else list(f.pens),
    }


def _unmade(d: Designed) -> View:
    p = d.planned
    lists = ("characteristics", "threads", "decisions", "notes", "cautions")
    return {
        "id": p.id,
        "kind": p.kind.value,
        "part": p.hold.part,
        "end": p.hold.end,
        "title": "",
        "purpose": "",
        "material": d.wishes.material if d.wishes else "",
        "quantity": d.wishes.quantity if d.wishes else 1,
        **{name: [] for name in lists},
    }


def check(
    c: Checked, words: Sequence[Answer], costs: Mapping[str, Sequence[Asked]] | None = None
) -> View:
    """What ``check --json`` prints; ``costs``: what it costs to ask, by mandrel."""
    costs = costs or {}
    return {
        "findings": [finding(f) for f in c.findings],
        "summary": summary(words),
        "mandrels": [
            {
                **designed(d),
                "word": a.word.value,
                "reason": a.reason,
                "uses": a.uses or None,
                "costs": [cost(x) for x in costs.get(d.planned.id, ())],
            }
            for d, a in zip(c.designed, words, strict=True)
        ],
        "failed": [
            {
                "id": d.planned.id,
                "kind": d.planned.kind.value,
                "part": d.planned.hold.part,
                "end": d.planned.hold.end,
            }
            for d in c.designed
            if d.mandrel is None
        ],
        "pen": _pen(c),
    }


def _pen(c: Checked) -> View:
    """The pen's joints and walls."""
    pen = c.inputs.pen.pen
    return {
        "id": pen.id,
        "name": pen.name,
        "joints": [
            {
                "id": j.joint.id,
                "starts": j.starts,
                "lead": rounded(j.lead),
                "turns": None if j.turns is None else rounded(j.turns.nominal),
                "travel": rounded(j.closing.travel),
                "engaged": rounded(j.closing.engaged),
                "shoulder_gap": rounded(j.closing.shoulder_gap),
                "bottom_room": rounded(j.closing.bottom_room),
                "thread_room": rounded(j.closing.thread_room),
                "play": {k: rounded(v) for k, v in j.play._asdict().items()},
            }
            for j in c.resolved.joints
        ],
        "walls": [
            {"where": str(w.place), "between": w.between, "least": rounded(w.value)}
            for w in c.resolved.walls
        ],
        "crowns": [{"where": str(w.place), "left": rounded(w.left)} for w in c.resolved.crowns],
    }


def made(result: MadeSet, findings: Sequence[Finding]) -> View:
    """What ``make --json`` prints."""
    return {
        "mandrels": [
            {
                "id": m.id,
                "number": m.number,
                "revision": m.revision,
                "folder": str(m.folder),
                "files": m.files,
                "existed": m.existed,
                "verdict": verdict(m.verdicts[0]) if m.verdicts else None,
                "verdict_b": verdict(m.verdicts[1]) if len(m.verdicts) > 1 else None,
            }
            for m in result.made
        ],
        "order": None if result.order is None else str(result.order),
        "zip": None if result.zip is None else str(result.zip),
        "cards": None if result.cards is None else str(result.cards),
        "words": [
            {"id": a.planned, "word": a.word.value, "reason": a.reason, "uses": a.uses or None}
            for a in result.words
        ],
        "findings": [finding(f) for f in findings],
    }


def verified(faults: Sequence[Fault]) -> View:
    """What ``verify --json`` prints."""
    return {
        "sound": not faults,
        "faults": [
            {"path": f.path, "damage": f.damage.value, "detail": f.detail} for f in faults
        ],
    }  # fmt: skip


def outcome(result: MadeSet | None, findings: Sequence[Finding]) -> View:
    """What ``make --json`` prints of one pen, made or not."""
    return failure(findings) if result is None else made(result, findings)


def _band(b: Band) -> View:
    return {"min": rounded(b.min), "max": rounded(b.max)}
