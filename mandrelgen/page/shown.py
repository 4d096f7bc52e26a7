"""What a pen's pages show, as values: findings, mandrels, what is owned, joints."""

from __future__ import annotations

from mandrelgen.assess.words import Word
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows.answers.sent_pieces import SentPiece


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
    what would spoil the part on it; ``pieces``: the test pieces that the turner gets;
    ``before``: one was asked for, and the pen needs another since; ``fixture``: the
    number of the pen's own one of this very design, there or on its way, ``away``: it was sent
    back."""

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
    state: str = ""
    before: str = ""
    fixture: str = ""
    away: bool = False

    @property
    def reason_found(self) -> bool:
        """Whether the reason stands among what is found on it."""
        return any(self.reason.startswith(s.message) for s in self.found)

    @property
    def repeatable(self) -> bool:
        """Whether another one can be ordered: one is there, or was sent back."""
        return self.drawn and self.word == Word.HAVE.value and (not self.state or self.away)


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
