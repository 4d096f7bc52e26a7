"""One pen as its pages show it."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from starlette.requests import Request

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import Finding, Level
from mandrelgen.files.writers import pen_svg
from mandrelgen.page.desk import Desk
from mandrelgen.paper.pen_drawing import facts, states
from mandrelgen.paper.pen_drawing.drawing import draw
from mandrelgen.paper.reports.summary import paragraph
from mandrelgen.spec.expand import with_joints
from mandrelgen.spec.joints import joints
from mandrelgen.spec.taken import taken
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows import arrived
from mandrelgen.workflows.answers import bench_fields as fields
from mandrelgen.workflows.answers.boxes import Field, Tree
from mandrelgen.workflows.answers.sent_pieces import SentPiece, said, sent_pieces
from mandrelgen.workflows.answers.spoken import place, spoken
from mandrelgen.workflows.answers.tapping import tapping
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.asked_before import asked_before
from mandrelgen.workflows.bench_look import Look, look

IDLE = "accept.idle"
NOT_JOINED, NO_COUNTERPART = "pen.not_joined", "pen.no_counterpart"
SPOILS = frozenset({"use.lip", "use.tenon", "use.strip", "use.seat"})
"""Warnings of what gives way in the part itself, screwed home on its mandrel."""
STEPS = ("pen", "joints", "mandrels", "order", "arrived")


@dataclass(frozen=True, slots=True)
class Said:
    """A finding on the page. ``where``: as the program knows it, ``place``: as a person says it;
    ``buttons``: what its remedies say, ``to``: where on the page it is mended by hand, and
    ``to_says`` which words lead there; ``may_leave``: the maker may know of it and leave it."""

    level: str
    where: str
    place: str
    message: str
    advice: str
    code: str
    buttons: tuple[str, ...]
    reason: str
    to: str = ""
    to_says: str = "counterpart"
    may_leave: bool = False


@dataclass(frozen=True, slots=True)
class Card:
    """A mandrel on the page. ``issued``: the archive holds it, made for this very end; ``but``:
    what would spoil the part on it; ``pieces``: the test pieces that the turner gets; ``before``:
    one was asked for, and the pen needs another since."""

    id: str
    what: str
    word: str
    said: str
    reason: str
    held: str
    drawn: bool
    lines: tuple[str, ...]
    found: tuple[Said, ...]
    part: str = ""
    owned: tuple[OwnedRow, ...] = ()
    issued: bool = False
    but: tuple[str, ...] = ()
    pieces: tuple[SentPiece, ...] = ()
    before: str = ""

    @property
    def reason_found(self) -> bool:
        """Whether the reason stands among what is found on it."""
        return any(self.reason.startswith(s.message) for s in self.found)


@dataclass(frozen=True, slots=True)
class OwnedRow:
    """A fixture of the archive that would hold the part too: as well as a new one, or less well."""

    number: str
    says: str
    good: bool


@dataclass(frozen=True, slots=True)
class JointRow:
    """A joint with its one box."""

    key: str
    id: str
    value: str
    external: str
    internal: str
    back: str
    says: tuple[str, ...]
    grade: str


class Seen:
    """A pen's file read and judged once for one answer. Raises InputError, DiskError."""

    def __init__(self, desk: Desk, id: str, path: Path, request: Request) -> None:
        self.desk, self.id, self.path = desk, id, path
        self.look: Look = look(path, desk.shop, desk.archive)
        query = request.query_params
        known = states.known(self.pen)
        wanted = query.get("state", "")
        self.states = known
        self.state = wanted if wanted in known else states.APART
        self.sizes = query.get("sizes", "1") != "0"

    @property
    def pen(self) -> Any:
        """The model."""
        return self.look.checked.inputs.pen

    @property
    def name(self) -> str:
        """For people."""
        return str(self.pen.pen.name)

    @property
    def stamp(self) -> str:
        """Changes with the file."""
        return hashlib.sha256(self.look.data).hexdigest()[:16]

    @property
    def look_stamp(self) -> str:
        """Changes with the pen's file or the shop's."""
        both = self.look.data + b"\0" + (self.look.checked.inputs.shop_bytes or b"")
        return hashlib.sha256(both).hexdigest()[:16]

    @cached_property
    def tree(self) -> Mapping[str, Any]:
        """The file's values; what a joint says of its ends stands at the ends too."""
        return with_joints(tomllib.loads(self.look.data.decode("utf-8-sig")))

    @cached_property
    def said(self) -> Tree:
        """The same, with what nobody said yet."""
        return Tree(self.tree, taken(self.look.data.decode("utf-8-sig")))

    @cached_property
    def boxes(self) -> dict[str, Field]:
        """Every box of the pen by key."""
        return fields.all_fields(self.said, self.pen)

    @cached_property
    def drawing(self) -> str:
        """The pen, to stand in the page."""
        c = self.look.checked
        return pen_svg.inline(draw(c.inputs.pen, c.inputs.shop, c.resolved, self.state, self.sizes))

    @cached_property
    def joints(self) -> tuple[JointRow, ...]:
        """Every joint."""
        told = {f.id: f for f in facts.joint_facts(self.look.checked.resolved)}
        out = []
        for j in joints(self.pen):
            f = told[j.id]
            d = read_thread(Tree(self.tree).text(fields.mates_of(j.external, "external")))
            back = text("joints.back", d.starts, pitch=f"{float(d.pitch):g}",
                        lead=f"{float(d.lead):g}")  # fmt: skip
            out.append(
                JointRow(
                    key=fields.joint_key(j),
                    id=j.id,
                    value=f.thread,
                    external=spoken(f.external),
                    internal=spoken(f.internal),
                    back=back,
                    says=f.says,
                    grade=f.grade,
                )
            )
        return tuple(out)

    @cached_property
    def tapping(self) -> Mapping[tuple[str, str], str]:
        """What hole each thread is tapped in, by part and end."""
        return tapping(self.pen, self.look.checked.resolved)

    @property
    def passages(self) -> tuple[facts.PassageFact, ...]:
        """What goes inside what."""
        return facts.passage_facts(self.pen, self.look.checked.resolved)

    # -- findings
    @cached_property
    def found(self) -> tuple[Said, ...]:
        """What is to be said of the pen itself, errors first."""
        mine = (f for f in self._sorted() if not self._of_mandrel(f))
        return tuple(replace(_said(f), to=self._counterpart(f)) for f in mine)

    def _counterpart(self, f: Finding) -> str:
        """The box for the thread that a cap lacks on another part, where one is asked for."""
        part, _, end = f.where.partition(".")
        if f.code != NO_COUNTERPART or self.pen.parts[part].ends[end].external is not None:
            return ""
        forms = enumerate(fields.thread_forms(self.said, self.pen), 1)
        asked = [n for n, t in forms if t.asks and t.part != part]
        return f"/pens/{self.id}/joints#t{asked[0]}-external" if asked else ""

    @property
    def to_mend(self) -> tuple[Said, ...]:
        """What must be mended of the pen itself."""
        return tuple(s for s in self.found if s.level == Level.ERROR.value)

    @property
    def to_look(self) -> int:
        """How many doubts there are of the pen itself."""
        return sum(s.level == Level.WARNING.value for s in self.found)

    @cached_property
    def stuck(self) -> tuple[Said, ...]:
        """The mandrels for which the pen must be changed first, each with the reason in short; not
        where the pen's own findings tell it."""
        told = {(s.code, s.where) for s in self.found}
        first: dict[str, Said] = {}
        for f in self._sorted():
            head = f.where.split(",")[0]
            if f.level is Level.ERROR and self._of_mandrel(f) and f.key not in told:
                to = f"/pens/{self.id}/mandrels#m-{head}"
                short = replace(_said(f), message=spoken(f.brief or f.message), advice="",
                                buttons=(), to=to, to_says="card")  # fmt: skip
                first.setdefault(head, short)
        held_back = {a.planned for a in self.look.answers if a.word is Word.CHANGE}
        return tuple(s for head, s in first.items() if head in held_back)

    def _sorted(self) -> list[Finding]:
        order = (Level.ERROR, Level.WARNING, Level.NOTE)
        return sorted(self.look.checked.findings, key=lambda f: order.index(f.level))

    def _of_mandrel(self, f: Finding) -> bool:
        head = f.where.split(",")[0]
        return any(head == d.planned.id for d in self.look.checked.designed)

    @cached_property
    def cards(self) -> tuple[Card, ...]:
        """Every mandrel with its word."""
        designed = {d.planned.id: d for d in self.look.checked.designed}
        before = asked_before(self.look, self.desk.archive)
        out = []
        for a in self.look.answers:
            d = designed[a.planned]
            m = d.mandrel
            what = m.threads[0].limits.designation.text if m and m.threads else ""
            told = (line for v in (d.verdict, d.verdict_b) if v for line in paragraph(v))
            lines = tuple(map(spoken, told))
            own = tuple(
                _said(f) for f in self._sorted()
                if f.where.split(",")[0] == a.planned
                or (f.level is Level.ERROR and a.word is Word.CHANGE and d.planned.hold.part
                    in f.parts)
            )  # fmt: skip
            out.append(
                Card(
                    id=a.planned,
                    what=what,
                    word=a.word.value,
                    said=a.said,
                    reason=spoken(a.reason),
                    held=place(d.planned.hold.text),
                    drawn=m is not None,
                    lines=lines,
                    found=own,
                    part=d.planned.hold.part,
                    owned=self._owned(a),
                    issued=a.own,
                    but=tuple(s.message for s in own if s.code in SPOILS and not s.reason),
                    pieces=sent_pieces(m),
                    before=before[a.planned].says if a.planned in before else "",
                )
            )
        return tuple(out)

    def _owned(self, a: Answer) -> tuple[OwnedRow, ...]:
        """But for the one that the word speaks of already."""
        from mandrelgen.workflows.reuse import said

        mine = (o for o in self.look.offers if o.planned == a.planned and o.row.number != a.uses)
        return tuple(OwnedRow(o.row.number, said(o), o.as_good) for o in mine)

    @property
    def left_out(self) -> tuple[str, ...]:
        """The parts that shall have no mandrel."""
        return tuple(p for p in self.pen.mandrels.skip if p in self.pen.parts)

    @property
    def to_order(self) -> tuple[Card, ...]:
        """What an order would hold."""
        words = (Word.ORDER.value, Word.MAKE.value)
        return tuple(c for c in self.cards if c.drawn and c.word in words)

    @property
    def ordered(self) -> tuple[Card, ...]:
        """What is ordered by its word."""
        return tuple(c for c in self.to_order if c.word == Word.ORDER.value)

    @property
    def made(self) -> tuple[Card, ...]:
        """What the maker makes."""
        return tuple(c for c in self.to_order if c.word == Word.MAKE.value)

    @cached_property
    def doubts(self) -> tuple[Said, ...]:
        """What stops no order and is to be looked at before one: of the pen, and of the mandrels to
        order or to make."""
        held = {(s.code, s.where) for c in self.cards if c.word == Word.CHANGE.value
                for s in c.found}  # fmt: skip
        found = [
            s for s in self.found if s.level == Level.WARNING.value or (s.code, s.where) not in held
        ]
        found += [
            replace(s, place=text("order.of", mandrel=c.id, held=c.held), to_says="card",
                    to=f"/pens/{self.id}/mandrels#m-{c.id}")
            for c in self.to_order for s in c.found
        ]  # fmt: skip
        once: dict[tuple[str, str], Said] = {}
        for s in found:
            if s.level != Level.NOTE.value:
                said = once.get((s.code, s.message))
                both = s if said is None else replace(said, place=f"{said.place}; {s.place}")
                once[s.code, s.message] = both
        return tuple(once.values())

    @property
    def stops(self) -> tuple[str, ...]:
        """What still stops an order."""
        return tuple(f"{c.id}: {c.reason}" for c in self.cards if c.word == Word.CHANGE.value)

    def sends(self, cards: Iterable[Card]) -> str:
        """The test pieces that go to the turner with mandrels, in words."""
        return said(p for c in cards for p in c.pieces)

    @cached_property
    def pieces(self) -> tuple[arrived.Piece, ...]:
        """This pen's fixtures in the archive."""
        return arrived.pieces(self.desk.archive, str(self.pen.pen.id))

    @property
    def loose(self) -> int:
        """Threads that belong together and are not joined, nor left apart on purpose."""
        return sum(s.code == NOT_JOINED and s.level != Level.NOTE.value for s in self.found)


def _said(f: Finding) -> Said:
    return Said(
        level=f.level.value, where=f.where, place=place(f.where), message=spoken(f.message),
        advice="" if f.remedies else spoken(f.remedy), code=f.code,
        buttons=tuple(spoken(r.says) for r in f.remedies), reason=f.reason,
        may_leave=may_leave(f),
    )  # fmt: skip


def may_leave(f: Finding) -> bool:
    """Whether a maker may know of it and leave it: what cannot be built or would hurt stays."""
    return f.level is Level.WARNING and not f.firm and f.code != IDLE
