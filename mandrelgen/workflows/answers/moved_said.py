"""What a change did to the mandrels, in words: first which have another word, then what else moves
on their sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.assess.words import Word
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.moved_tolerances import moved
from mandrelgen.workflows.moved_words import MovedWord, Stands, moved_words

if TYPE_CHECKING:
    from mandrelgen.workflows.bench_look import Look


def moved_said(before: Look, after: Look) -> tuple[str, str]:
    """The words that moved; the run-outs that moved; a line each, empty where nothing did."""
    words = moved_words(before, after)
    # Of a mandrel that is another one now every size may be another.
    other = {m.name for m in words if m.was and m.now and m.was.end != m.now.end}
    runs = [
        text("moved.run_out", part=spoken(m.part), what=m.what, now=text_of(m.now),
             was=text_of(m.was))
        for m in moved(before, after) if m.part not in other
    ]  # fmt: skip
    return "\n".join(map(_said, words)), "\n".join(runs)


def _said(m: MovedWord) -> str:
    ends = m.was is None or m.now is None or m.was.end != m.now.end
    return text("moved.word", name=m.name, now=_how(m.now, ends), was=_how(m.was, ends))


def _how(s: Stands | None, end: bool) -> str:
    if s is None:
        return text("moved.none")
    a = s.answer
    word = a.state or text(f"moved.{Word(a.word).value}")
    return text("moved.held", end=s.end, word=word) if end else word
