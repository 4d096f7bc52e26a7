"""The boxes of a piece at the bench: what is asked, what is typed and was kept, what it shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import InstrumentKind, Shop
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.kept import KeptAnswer
from mandrelgen.workshop.receipt.home_answers import moot
from mandrelgen.workshop.receipt.home_form import Answers, Form, Question, needs
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.inspection_plan import limits_text
from mandrelgen.workshop.turning.names import what


@dataclass(frozen=True, slots=True)
class Box:
    """A question with what is typed for it, its faults, and what the answer shows (``grade`` good,
    half, bad or open, ``word`` which of its words); ``name``: what it is called, ``tools``: what a
    size can be read with, as it is typed and as it is said, the first taken where nothing is
    chosen; ``was``: the answer that was kept, with its day; ``moot``: other answers leave nothing
    to ask; ``lacks``: the instrument it needs and the shop, which lists others, does not."""

    question: Question
    name: str
    typed: str
    faults: tuple[str, ...]
    grade: str
    word: str
    says: str
    was: str
    tools: tuple[tuple[str, str], ...] = ()
    moot: bool = False
    lacks: str = ""

    @property
    def answered(self) -> bool:
        """Whether anything was typed or kept, or is wrong."""
        return bool(self.typed or self.was or self.faults)


def answered(
    questions: Sequence[Question], typed: Mapping[str, str], key: str, said: str
) -> dict[str, str]:
    """What is typed with one answer given or, where ``said`` is "", taken back; the answer to a
    question that this leaves nothing to ask goes with it."""
    found = {k: v for k, v in typed.items() if k != key}
    if said:
        found[key] = said
    gone = moot(questions, found)
    return {k: v for k, v in found.items() if k not in gone}


def lacks(shop: Shop, q: Question) -> str:
    """The kind of instrument that a question needs and the shop does not list; "" where it has it,
    or lists none at all."""
    kind = needs(q)
    owned = {i.kind for i in shop.instruments.values()}
    return kind.value if owned and kind is not None and kind not in owned else ""


def was_said(q: Question, a: KeptAnswer | None) -> str:
    """A kept answer in words."""
    if a is None:
        return ""
    read = a.text.replace("@", ", ") if q.takes is Answers.SIZE else a.text.replace("@", " at ")
    return text("arrived.was", day=a.day, answer=read)


def named(q: Question) -> str:
    """What a question is called on the page, which asks for the instrument beside it."""
    return q.text.partition(", with ")[0] if q.takes is Answers.SIZE else q.text


def tools(shop: Shop, drawn: Mandrel, c: Characteristic) -> tuple[tuple[str, str], ...]:
    """What a size can be read with: as it is typed and as it is said; what is trusted here first,
    then what else is owned, then what could be borrowed."""
    owned = [*instruments.advised(shop, drawn, c), *instruments.at_home(shop, drawn, c)]
    kinds = {t.kind for t in owned}
    lent = [
        instruments.named(shop, k.value, where)
        for k, where in instruments.suited(drawn, c)
        if k.value not in kinds and k is not InstrumentKind.WIRES  # a wire's own size goes with it
    ]
    said = {t.name: f"{t.name.replace('-', ' ')}, ± {text_of(t.uncertainty)}"
            for t in (*owned, *lent)}  # fmt: skip
    return tuple(said.items())


def others(drawn: Mandrel, form: Form) -> list[Question]:
    """A box for every size with limits that the form does not ask for."""
    numbers = numbered(drawn)
    return [
        Question(id=c.id, test="", text=what(c), takes=Answers.SIZE, unit=c.unit,
                 stands_for=(c.id,), balloons=(numbers[c.id],), note=limits_text(c))
        for c in drawn.characteristics
        if _limited(c)
    ]  # fmt: skip


def _limited(c: Characteristic) -> bool:
    return c.lower is not None or c.upper is not None
