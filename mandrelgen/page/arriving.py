"""The last step: what arrived is read and tried, each answer judged at once; the word is booked."""

from __future__ import annotations

import json
import re
from typing import Any

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.page import days, pens
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, Fault, fault_of
from mandrelgen.page.pens import in_thread, pen_of, rendered
from mandrelgen.page.seen import Seen
from mandrelgen.workflows import arrived, arrived_boxes, corrected
from mandrelgen.workflows.answers import shop_fields
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.arrived import Piece
from mandrelgen.workflows.catalogue import front
from mandrelgen.workflows.kept import kept
from mandrelgen.workshop.receipt.home_form import AMOUNT_ALONE, HIGH_SPOT, Answers
from mandrelgen.workshop.receipt.home_word import Word

LONGEST = 60
"""Most characters of an answer."""

CAME = "came"
"""The form that says when it arrived."""


def draft_of(piece: Piece) -> str:
    """Under which name the answers that are not kept yet are remembered."""
    return f"arrived/{piece.id}"


def typed(desk: Desk, piece: Piece) -> dict[str, str]:
    """The answers typed so far, by question."""
    data = desk.memory.draft(draft_of(piece))
    found = json.loads(data) if data else {}
    return {str(k): str(v) for k, v in found.items()}


def chosen(seen: Seen, request: Request) -> Piece | None:
    """The piece an address or a form names, else the first that waits."""
    wanted = request.query_params.get("piece", "")
    named = next((p for p in seen.pieces if p.id == wanted), None)
    waiting = next((p for p in seen.pieces if not p.checked), None)
    return named or waiting or (seen.pieces[0] if seen.pieces else None)


def shown(request: Request, desk: Desk, seen: Seen) -> dict[str, Any]:
    """What the step's page needs."""
    piece = chosen(seen, request)
    if piece is None:
        return {"piece": None, "common": {"undo": 0, "redo": 0}}
    common: dict[str, Any] = dict(zip(("undo", "redo"), desk.memory.counts(draft_of(piece)),
                                      strict=True))  # fmt: skip
    try:
        at = arrived.arrival(desk.archive, piece, typed(desk, piece), desk.shop)
        sheets = arrived.sheets_inline(at.build, at.grades)
        number, _, revision = piece.id.rpartition("-")
        done = kept(desk.archive, number, revision)
    except TOLD as e:
        return {"piece": piece, "at": None, "common": {**common, "fault": fault_of(e)}}
    return {"piece": piece, "at": at, "sheets": sheets, "common": common, "how": HIGH_SPOT,
            "today": pens.today(), "today_said": pens.in_words(pens.today()),
            "alone": AMOUNT_ALONE, "kept": done, "kinds": shop_fields.instruments({})}  # fmt: skip


async def _with_piece(request: Request, change: Any) -> Response:
    """Do something to the piece an address names, and show the step again."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=10)

    def work() -> Response:
        fault: Fault | None = None
        notice = ""
        try:
            seen = Seen(desk, id, path, request)
            wanted = request.query_params.get("piece", "")
            piece = next((p for p in seen.pieces if p.id == wanted), None)
            if piece is None:
                raise HTTPException(404)
            notice = change(desk, piece, form)
        except TOLD as e:
            typed = {days.BOX: str(form.get(days.BOX, "")).strip()[:LONGEST]}
            fault = days.refused(e, CAME, typed) or fault_of(e)
        return rendered(request, "arrived", fault, notice)

    return await in_thread(work)  # type: ignore[no-any-return]


async def answer(request: Request) -> Response:
    """One answer, kept in mind until all are."""

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        at = arrived.arrival(desk.archive, piece, {}, desk.shop)
        key = str(form.get("key", ""))
        box = next((b for b in (*at.boxes, *at.more) if b.question.id == key), None)
        if box is None:
            raise HTTPException(404)
        said = joined(box.question.takes, form)
        answers = arrived_boxes.answered(
            [b.question for b in at.boxes], typed(desk, piece), key, said
        )
        data = json.dumps(answers).encode() if answers else b""
        desk.set_draft(draft_of(piece), data, key)
        return ""

    return await _with_piece(request, change)


def joined(takes: Answers, form: FormData) -> str:
    """An answer of one box or two as it is written on paper."""
    value, also = (str(form.get(k, "")).strip()[:LONGEST] for k in ("value", "also"))
    if takes is Answers.SIZE and re.fullmatch(r"[a-z][a-z0-9_-]{0,31}", also):
        return value if "@" in value else f"{value}@{also}"
    if takes is Answers.RUN_OUT:
        return f"{value}@{also}" if also else value
    if takes is Answers.PINS:
        row = ((value, "goes"), (also, "stops"))
        return ", ".join(f"{size} {way}" for size, way in row if size)
    return value


async def step_back(request: Request) -> Response:
    """Take an answer back, or give it again."""
    back = request.path_params["way"] == "undo"

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        desk.step_draft(draft_of(piece), back)
        return text("done.undone" if back else "done.redone")

    return await _with_piece(request, change)


async def again(request: Request) -> Response:
    """Put the answers of the newest check into the boxes, to be corrected."""

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        found = corrected.corrected(desk.archive, piece, desk.shop)
        desk.set_draft(draft_of(piece), json.dumps(found).encode(), "again")
        return text("arrived.to_correct")

    return await _with_piece(request, change)


async def came(request: Request) -> Response:
    """It has arrived, be it that it is read and tried later."""

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        day = arrived.came(desk.archive, piece, str(form.get(days.BOX, "")).strip()[:LONGEST])
        front.refresh(desk.archive)
        return text("arrived.came_on", name=piece.name, day=day)

    return await _with_piece(request, change)


async def book_back(request: Request) -> Response:
    """What is in use or was sent back has arrived again."""

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        corrected.booked_back(desk.archive, piece)
        front.refresh(desk.archive)
        return text("arrived.booked_back", name=piece.name)

    return await _with_piece(request, change)


async def keep(request: Request) -> Response:
    """Keep the check, and book what its word leads to."""

    def change(desk: Desk, piece: Piece, form: FormData) -> str:
        done = arrived.booked(desk.archive, piece, typed(desk, piece), desk.shop)
        front.refresh(desk.archive)
        if done.decision.word is Word.NOT_YET:  # the rest is typed beside what was answered
            return text("arrived.kept_so_far", name=piece.name)
        desk.memory.forget(draft_of(piece))
        booked = ", ".join(s.replace("-", " ") for s in done.states)
        if booked:
            return text("arrived.kept_as", name=piece.name, word=done.word, state=booked)
        return text("arrived.kept", name=piece.name, word=done.word)

    return await _with_piece(request, change)
