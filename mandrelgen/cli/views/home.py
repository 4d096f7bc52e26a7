"""What ``receive --home`` and ``receive --form`` print as text; nothing is computed here."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

from mandrelgen.core.tolerance import text_of
from mandrelgen.workshop.receipt.home_form import (
    AMOUNT_ALONE,
    HIGH_SPOT,
    Answers,
    Form,
    Question,
    spans,
)
from mandrelgen.workshop.receipt.home_tests import HomeTest

if TYPE_CHECKING:
    from mandrelgen.workflows.receive_home import HomeVerdict

WIDTH = 96


def home_text(v: HomeVerdict) -> str:
    """The word first, its reason, what to do; then every test and size."""
    d = v.decision
    out = [f"{v.number} {v.revision}: {v.word.upper()}", *_wrapped(v.reason)]
    for r in d.rework:
        who = "you can do it" if r.maker else "the turner's job"
        out += _wrapped(f"rework ({who}): {r.what}")
    out += _wrapped(d.left)
    if d.sentence:
        out += ["", "to the turner:", *_wrapped(d.sentence)]
    out.append("")
    out += [line for t in v.tests for line in _test(t)]
    for j in v.judgement.judged:
        for x in j.readings:
            value = f"by {x.instrument}" if x.value is None else (
                f"{text_of(x.value)} ± {text_of(x.uncertainty)}, {x.instrument}")  # fmt: skip
            out.append(f"  {j.number:>3} {j.id}: {value}: {x.verdict.value}")
        out += textwrap.wrap(
            v.open_says(j), WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6
        )
    out.append(f"stored as '{v.event}' of {v.date}" if v.event else "not stored")
    if v.states:
        out.append(f"booked: {', '.join(s.replace('-', ' ') for s in v.states)}")
    return "\n".join(out)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _test(t: HomeTest) -> Iterator[str]:
    stands = f" (balloon {spans(t.balloons)})" if t.balloons else ""
    yield f"  {t.state.value:>8}  {t.id}{stands}: {t.shows}"


def form_text(form: Form, name: str) -> str:
    """The form as a TOML file to fill in: what stays empty was not tried."""
    out = [f"# {name}: {form.title}. When it arrives: fill in what you try, leave the rest empty,"]
    out.append(f"# then: mandrelgen receive {name} --home FILE")
    for c in form.cautions:
        out += textwrap.wrap(c, WIDTH, initial_indent="# ! ", subsequent_indent="#   ")
    told = False
    for q in form.questions:
        if q.takes is Answers.RUN_OUT and not told:
            told = True
            how = f"{HIGH_SPOT} {AMOUNT_ALONE[0].upper()}{AMOUNT_ALONE[1:]}."
            out += ["", *textwrap.wrap(how, WIDTH, initial_indent="# ! ", subsequent_indent="#   ")]
        out += ["", *textwrap.wrap(_asked(q), WIDTH, initial_indent="# ", subsequent_indent="#   ")]
        out.append(f'"{q.id}" = ""')
    return "\n".join(out)


def _asked(q: Question) -> str:
    numbers = f"{spans(q.balloons)}: " if q.balloons else ""
    note = f" ({q.note})" if q.note else ""
    return f"{numbers}{q.text}{note}. Write: {q.allowed}"
