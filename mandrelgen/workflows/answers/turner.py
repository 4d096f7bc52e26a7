"""What ``lathe`` and ``papers`` say, as plain values; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mandrelgen.assess.words import Word
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.reports import plain_request, quotation
from mandrelgen.workflows.answers import plain
from mandrelgen.workflows.answers.plain import View
from mandrelgen.workflows.cards import pieces_of, route_of
from mandrelgen.workflows.check import worded
from mandrelgen.workflows.order import contact
from mandrelgen.workshop.home.reference_pieces import ReferencePieces
from mandrelgen.workshop.home.route import Route
from mandrelgen.workshop.turning.turner_card import turner_card

if TYPE_CHECKING:
    from mandrelgen.workflows.check import Checked


def lathe(checked: Checked, only: str | None) -> View:
    """The turner's cards of every mandrel, or of one."""
    shop = checked.inputs.shop
    return {
        "turner": [
            plain.view(turner_card(d.mandrel, shop))
            for d in checked.designed
            if d.mandrel is not None and only in (None, d.mandrel.id)
        ]
    }


def papers(checked: Checked, date: str) -> View:
    """The request for a quotation, its e-mails, the route card and the test pieces."""
    return {
        "request": plain.view(_request(checked, date)),
        "email": letter(checked, date),
        "email_strict": quotation.email(_request(checked, date)),
        "route": plain.view(route(checked)),
        "test_pieces": plain.view(pieces(checked)),
    }


def route(checked: Checked) -> Route:
    """The pen maker's route card."""
    return route_of(checked, worded(checked, {}))


def pieces(checked: Checked) -> ReferencePieces:
    """The test pieces."""
    return pieces_of(checked, worded(checked, {}))


def _ordered(checked: Checked) -> list[Mandrel]:
    """What is to be ordered: nothing that a fault holds back, nothing that is not needed."""
    order = {a.planned for a in worded(checked, {}) if a.word is Word.ORDER}
    return [
        d.mandrel for d in checked.designed if d.mandrel is not None and d.planned.id in order
    ]  # fmt: skip


def letter(checked: Checked, date: str) -> str:
    """The plain request as an e-mail."""
    who = contact(checked.inputs.pen, checked.inputs.shop)
    return plain_request.email(
        plain_request.plain_request(_request(checked, date), _ordered(checked), who)
    )


def _request(checked: Checked, date: str) -> quotation.Request:
    """The request for what is to be ordered."""
    title = checked.inputs.pen.pen
    mandrels = [(m, "", "") for m in _ordered(checked)]
    return quotation.request(title.name, title.owner, date, mandrels, checked.inputs.shop)
