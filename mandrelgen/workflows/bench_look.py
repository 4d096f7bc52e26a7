"""What the page shows of a pen: read, designed, judged and worded from the bytes of its files."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.archive.disk import files
from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Answer
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.read import effective_shop, read_pen, read_shop, review
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows import check, reuse
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.read_inputs import LIMIT, SHOP, Inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench

if TYPE_CHECKING:
    from mandrelgen.workflows.build import Build
    from mandrelgen.workflows.reuse_judging import Offer


@dataclass(frozen=True, slots=True)
class Look:
    """A pen as it stands: what ``check`` knows, the word for each mandrel, and what of the archive
    would hold."""

    checked: Checked
    answers: tuple[Answer, ...]
    data: bytes
    offers: tuple[Offer, ...] = ()
    archive: Path | None = None

    def issued(self, planned: str) -> Answer | None:
        """The word for a mandrel of which the archive holds this very design, made for it."""
        return next((a for a in self.answers if a.planned == planned and a.own), None)


def bytes_of(path: Path) -> bytes | None:
    """A file's bytes; None if it is not there. Raises DiskError."""
    return files.read_file(path, LIMIT) if files.is_plain_file(path) else None


def look(pen: Path, shop: Path, archive: Path) -> Look:
    """Read and judge the pen's file with its shop's. Raises InputError, DiskError."""
    return look_at(files.read_file(pen, LIMIT), pen.name, bytes_of(shop), archive)


def look_at(data: bytes, name: str, shop_bytes: bytes | None, archive: Path) -> Look:
    """Judge a pen's bytes with a shop's. Raises InputError, DiskError."""
    checked = _checked(data, name, shop_bytes)
    looked = reuse.look(checked, archive)
    answers = check.worded(checked, looked.serving)
    return Look(checked=checked, answers=answers, data=data, offers=looked.offers, archive=archive)


@lru_cache(maxsize=12)
def _checked(data: bytes, name: str, shop_bytes: bytes | None) -> Checked:
    """A pure function of the two files: a page and its pictures ask for the same in one breath."""
    inputs = inputs_of(data, name, shop_bytes)
    found = settled(inputs.pen, inputs.shop)
    findings = tried(found.findings, Bench(data, inputs.own_shop))
    return Checked(inputs, found.designed, found.resolved, (*inputs.findings, *findings))


def inputs_of(data: bytes, name: str, shop_bytes: bytes | None) -> Inputs:
    """The models of a pen's and a shop's bytes. Raises InputError."""
    own = Shop.model_validate({"schema": 1}) if shop_bytes is None else read_shop(shop_bytes, SHOP)
    pen = read_pen(data, name)
    shop = effective_shop(own, pen)
    found = review(pen, shop, data, name)
    if any(f.level is Level.ERROR for f in found):
        raise InputError(found)
    return Inputs(
        pen=pen, shop=shop, own_shop=own, pen_bytes=data, shop_bytes=shop_bytes, findings=found
    )


def build_of(seen: Look, planned: str) -> Build | None:
    """A mandrel to be drawn: as it was issued where the archive holds this very design, else as it
    is now, not issued; None if it cannot be made."""
    from mandrelgen.workflows.build import Build, accepted_of, own_of, signed, unissued

    if (own := seen.issued(planned)) is not None and seen.archive is not None:
        from mandrelgen.workflows import arrived

        return arrived.issued(seen.archive, own.uses)
    title = signed(seen.checked.inputs.pen.pen, seen.checked.inputs.shop)
    for d in seen.checked.designed:
        if d.planned.id == planned and d.mandrel is not None:
            verdicts = tuple(v for v in (d.verdict, d.verdict_b) if v is not None)
            known = accepted_of(seen.checked, d.mandrel)
            issue = unissued(title, date_of(None, title.date), known)
            return Build(
                mandrel=d.mandrel, issue=issue, extra=(), verdicts=verdicts, accepted=known,
                own=own_of(seen.checked, seen.answers).get(planned),
            )  # fmt: skip
    return None


def sheets_svg(seen: Look, planned: str) -> tuple[bytes, ...]:
    """The drawing sheets of a mandrel as it is now; none if it cannot be made."""
    from mandrelgen.files.writers import svg

    build = build_of(seen, planned)
    return () if build is None else tuple(svg.write(s) for s in build.sheet.sheets)


def sheet_pdf(seen: Look, planned: str) -> bytes | None:
    """The same as a PDF; None if it cannot be made."""
    from mandrelgen.files.writers.pdf import document

    build = build_of(seen, planned)
    return None if build is None else document.write(build.sheet)


def card_pdf(seen: Look, planned: str) -> bytes | None:
    """The card of a mandrel that the maker makes, as a PDF; None if there is none."""
    from mandrelgen.files.writers.pdf import document

    build = build_of(seen, planned)
    return None if build is None or not build.card else document.card(build.sheet, build.card)


def pieces_pdf(seen: Look) -> bytes | None:
    """The card of the test pieces, as a PDF; None if the pen has no thread."""
    from mandrelgen.paper.reports.pieces_card import pieces_page
    from mandrelgen.workflows import cards

    pieces = cards.pieces_of(seen.checked, seen.answers)
    title = seen.checked.inputs.pen.pen.id
    if not pieces.threads:
        return None
    return cards.card(pieces_page(pieces), title, cards.NOTES[cards.PIECES])


def model_json(seen: Look, planned: str) -> str | None:
    """A light model of a mandrel as it is now; None if there is none."""
    from mandrelgen.workflows.catalogue import shape

    build = build_of(seen, planned)
    model = None if build is None else shape.model(build.mandrel)
    return None if model is None else model.text
