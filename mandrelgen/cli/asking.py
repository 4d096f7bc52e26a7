"""Questions on a terminal: asked until the answer can be read; ``?`` means: I don't know."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import click

from mandrelgen.cli.errors import printable
from mandrelgen.core.errors import InputError

if TYPE_CHECKING:
    from mandrelgen.standards.thread_finder import Reading
    from mandrelgen.workflows.measured_thread import Answers

UNKNOWN = "?"


def ask(question: str, default: str, read: Callable[[str], str] | None = None) -> str | None:
    """An answer as ``read`` accepts it, asked until it does; None: not known."""
    while True:
        text = str(click.prompt(printable(question), default=default)).strip()
        if text == UNKNOWN:
            return None
        try:
            said = read(text) if read else text
            return None if said == UNKNOWN else said
        except InputError as e:
            for f in e.findings:
                click.echo(printable(f"  {f.message} → {f.remedy}"))


def length(question: str, most: float) -> str | None:
    """A size as typed; one that is larger than such a part ever is, is asked again."""
    from mandrelgen.workflows import new_pen

    while True:
        text = ask(question, UNKNOWN, new_pen.size_text)
        less = new_pen.doubted(text, most) if text is not None else ""
        if not less or click.confirm(f"  {text} mm? Not {less}", default=False):
            return text


def measured_thread(external: bool, internal: bool) -> tuple[str | None, Mapping[str, Reading]]:
    """A thread known by calipers alone: its readings asked, the candidates shown, one taken.

    ``external``, ``internal``: the sides there are. The thread is None if it stays open.
    """
    from mandrelgen.workflows import measured_thread as work
    from mandrelgen.workflows.answers import found_thread

    click.echo(
        "  Then by calipers, in mm (9.32, or 9.32 ± 0.02 if you know yours). "
        f"{UNKNOWN}: cannot measure it."
    )
    answers = work.Answers()
    sides = [k for k, there in zip(work.DIAMETERS, (external, internal), strict=True) if there]
    for kind in sides:
        _reading(answers, kind)
    if not answers.typed:
        return None, {}
    for kind in work.FIRST:
        _reading(answers, kind)
    found = answers.found()
    while kind := work.next_question(found, answers):
        if not _reading(answers, kind, "  It would decide: "):
            break
        found = answers.found()
    click.echo(printable(_indented(found_thread.text(found, numbered=True))))
    thread = ask(
        f"  Which is it (number, or a thread; {UNKNOWN} leaves it open)",
        "1" if len(found.within) == 1 else UNKNOWN,
        lambda text: work.chosen(found, text),
    )
    return thread, found.readings


def _reading(answers: Answers, kind: str, before: str = "  ") -> bool:
    from mandrelgen.workflows.measured_thread import QUESTIONS

    question = f"{before}{QUESTIONS[kind]}"
    return ask(question, UNKNOWN, lambda text: answers.take(kind, text)) is not None


def _indented(text: str) -> str:
    return "\n".join(f"  {row}" if row else "" for row in text.splitlines())
