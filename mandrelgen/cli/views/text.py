"""What the commands print for a person; values come from the results, nothing is computed."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from mandrelgen.assess.words import summary
from mandrelgen.core.errors import Level
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.mechanics.joint import ClosingTurns
from mandrelgen.model.mandrel import NOT_ISSUED, Mandrel
from mandrelgen.standards.threads import Band, ThreadLimits

if TYPE_CHECKING:
    from mandrelgen.workflows.answers.first_screen import FirstScreen, FoundRow
    from mandrelgen.workflows.check import Checked
    from mandrelgen.workflows.made import MadeSet


def thread(t: ThreadLimits) -> str:
    """A thread's limits as a small table."""
    from mandrelgen.standards.thread_aloud import in_words

    d = t.designation
    head = [
        f"{d.text}   {'external' if t.external else 'internal'}, class {t.tolerance_class}",
        in_words(d),
        f"P {text_of(d.pitch, 4)}   Ph {text_of(d.lead, 4)}   {d.starts} start"
        f"{'s' if d.starts > 1 else ''}   lead angle {text_of(t.lead_angle, 2)}°   "
        f"{'left' if d.left_hand else 'right'} hand",
        f"{'':8}{'basic':>10}{'least':>10}{'most':>10}",
    ]
    rows = [
        f"{name:8}{text_of(basic):>10}{_low(band):>10}{_high(band):>10}"
        for name, basic, band in (
            ("major", t.basic.major, t.major),
            ("pitch", t.basic.pitch, t.pitch),
            ("minor", t.basic.minor, t.minor),
        )
    ]
    return "\n".join([*head, *rows, f"source: {t.source}"])


WIDTH = 100


def first_screen(s: FirstScreen) -> str:
    """What to do about each mandrel, then what stands in the way; the rest is for ``--all``."""
    out = [f"{s.name}: {s.summary}"]
    word = max((len(r.word) for r in s.mandrels), default=0)
    name = max((len(r.id) for r in s.mandrels), default=0)
    for r in s.mandrels:
        head = f"  {r.word:{word}}  {r.id:{name}}  {r.what}: "
        out.append(textwrap.fill(r.reason, WIDTH, initial_indent=head, subsequent_indent=" " * 6))
    for f in s.found:
        out.append(_found(f))
    if s.left:
        out.append(f"{s.left} more notes with --all")
    return "\n".join(out)


def _found(f: FoundRow) -> str:
    where = ", ".join((f.where, *f.also))
    text = f"{f.level.value}: {where}: {f.message}"
    if f.reason:
        text += f" (accepted: {f.reason})"
    if f.remedies:
        text += " → " + "; or ".join(f.remedies)
    if f.level is not Level.NOTE:
        text += f" [{f.code}]"
    return textwrap.fill(text, WIDTH, subsequent_indent="    ")


def check(c: Checked) -> str:
    """The mandrels designed, one short paragraph each, and what was assumed."""
    from mandrelgen.paper.reports.summary import assumed, paragraph

    out = [f"{c.inputs.pen.pen.name}: {len(c.designed)} mandrels"]
    verdicts = [v for d in c.designed for v in (d.verdict, d.verdict_b) if v is not None]
    shared, own = assumed(verdicts)
    besides = iter(own)
    for d in c.designed:
        if d.mandrel is None:
            out.append(f"\n{d.planned.id}: cannot be made, see below")
            continue
        out.append("\n" + mandrel(d.mandrel))
        for v in (d.verdict, d.verdict_b):
            if v is not None:
                out += [f"  {line}" for line in paragraph(v)]
                out.append(f"  assumed: {'; '.join(next(besides)) or 'nothing besides'}")
    if shared:
        out.append(f"\nassumed for every mandrel: {'; '.join(shared)}")
    for j in c.resolved.joints:
        turns = "does not shut" if j.turns is None else f"closes in {_turns(j.turns)}"
        out.append(f"\njoint {j.joint.id}: {turns}")
    return "\n".join(out)


def _turns(t: ClosingTurns) -> str:
    return f"{text_of(t.nominal, 1)} turns ({text_of(t.least, 1)} to {text_of(t.most, 1)})"


def mandrel(m: Mandrel) -> str:
    """One mandrel's main decisions."""
    lines = [f"{m.id}: {m.title}"]
    lines += [f"  {d.what}: {d.value}" for d in m.decisions]
    return "\n".join(lines)


def made(result: MadeSet) -> str:
    """What to do, where the files are, and why the others were not made."""
    lines = []
    if result.words:
        zip_ = f"; send this zip: {result.zip}" if result.zip is not None else ""
        lines.append(summary(result.words) + zip_)
    for m in result.made:
        name = f"{m.number} {m.revision}" if m.number else NOT_ISSUED
        lines.append(f"{name}  {m.id}: {m.folder}" + ("  (already there)" if m.existed else ""))
        if "card" in m.files:
            lines.append(f"  the card: {m.folder / m.files['card']}")
    if result.order is not None:
        lines.append(f"set: {result.order}")
    if result.cards is not None:
        along = " to cut and send along" if result.order is not None else ""
        lines.append(f"cards for your own lathe (route; test pieces{along}): {result.cards}")
    if not result.made:
        lines.append("nothing to make")
    done = {m.id for m in result.made}
    for a in result.words:
        if a.planned not in done:
            head = f"{a.said}  {a.planned}: "
            lines.append(
                textwrap.fill(a.reason, WIDTH, initial_indent=head, subsequent_indent="  ")
            )
    return "\n".join(lines)


def _low(b: Band) -> str:
    return "-" if b.min is None else lower_limit_text(b.min)


def _high(b: Band) -> str:
    return "-" if b.max is None else upper_limit_text(b.max)
