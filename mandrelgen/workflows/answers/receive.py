"""What ``receive`` says, as plain values; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.workflows.answers import plain
from mandrelgen.workflows.answers.plain import View
from mandrelgen.workshop.receipt.home_form import Form

if TYPE_CHECKING:
    from mandrelgen.workflows.receive import Received
    from mandrelgen.workflows.receive_home import HomeVerdict


def received(r: Received) -> View:
    """What ``receive --json`` prints; the findings too."""
    return {
        "number": r.number,
        "revision": r.revision,
        "date": r.date,
        "verdict": r.judgement.verdict.value,
        "characteristics": plain.view(r.judgement.judged),
        "play": plain.view(r.play),
        "served": plain.view(r.served),
        "outdated": [{"id": id, "later": day} for id, day in r.outdated],
        "failed_without_value": list(r.failed),
        "event": r.event,
        "findings": plain.view(r.findings),
    }


def received_at_home(v: HomeVerdict) -> View:
    """What ``receive --home --json`` prints; the findings too."""
    return {
        "number": v.number,
        "revision": v.revision,
        "date": v.date,
        "word": v.word,
        "reason": v.reason,
        "sentence": v.sentence,
        "tests": plain.view(v.tests),
        "characteristics": plain.view(v.judgement.judged),
        "decision": plain.view(v.decision),
        "served": plain.view(v.served),
        "event": v.event,
        "states": list(v.states),
        "findings": plain.view(v.findings),
    }


def form_to_fill(form: Form) -> View:
    """The form as plain values."""
    found: View = plain.view(form)
    for row, q in zip(found["questions"], form.questions, strict=True):
        row["allowed"] = q.allowed
    return found
