"""Start, the shop, the archive: what stands beside a pen's steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.page.desk import Desk
from mandrelgen.page.edits import make_shop, redone, undone, wanted_of, with_moved
from mandrelgen.page.fault import TOLD, Fault, fault_of, form_of, in_file
from mandrelgen.page.pens import SMALL, desk_of, in_thread
from mandrelgen.page.render import page
from mandrelgen.page.seen import STEPS
from mandrelgen.spec.starters import starter_names
from mandrelgen.workflows import new_pen, pen_ids, small_pen
from mandrelgen.workflows.answers import shop_fields
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_look import Look, bytes_of, look

WHOLE = ("heron", "wren", "bittern")
"""Starters of a whole pen."""


async def start(request: Request) -> Response:
    """What do you want to hold?"""
    desk = desk_of(request)
    if desk.first:
        first, desk.first = desk.first, ""
        if first in desk.pens():
            return RedirectResponse(f"/pens/{first}/pen", 303)
    return await in_thread(lambda: _start(request, desk))  # type: ignore[no-any-return]


def _start(request: Request, desk: Desk, fault: Fault | None = None, typed: Any = None) -> Response:
    kinds = small_pen.KINDS
    whole = [(w, text(f"start.{w}")) for w in WHOLE]
    values = {k: str((typed or {}).get(k, "")) for k in ("name", *SMALL)}
    return page(
        request, "start.html", title=text("start.title"), pens=desk.named(), kinds=kinds,
        whole=whole, typed=values, fault=fault, id="", step="",
    )  # fmt: skip


async def create(request: Request) -> Response:
    """A new pen file: from the small form, or a whole pen to begin with."""
    desk = desk_of(request)
    form = await request.form(max_files=0, max_fields=20)

    def work() -> Response:
        try:
            id = _created(desk, form)
        except TOLD as e:
            at, said = form_of("new", form)
            return _start(request, desk, replace(fault_of(e), at=at, form=said), form)
        if request.headers.get("hx-request") == "true":
            return Response(status_code=204, headers={"hx-redirect": f"/pens/{id}/pen"})
        return RedirectResponse(f"/pens/{id}/pen", 303)

    return await in_thread(work)  # type: ignore[no-any-return]


def _created(desk: Desk, form: FormData) -> str:
    name, whole = str(form.get("name", ""))[:80], str(form.get("whole", ""))
    at = desk.archive
    if whole and whole in starter_names("pen"):
        n, stem = 1, whole
        while (
            stem in desk.pens() or pen_ids.free_id(stem, desk.folder / f"{stem}.toml", at) != stem
        ):
            n += 1
            stem = f"{whole}-{n}"
        return new_pen.begin_with(stem, whole, desk.folder).stem
    return small_pen.start(desk.folder, name, wanted_of(form), at).stem


# -- my shop
async def shop(request: Request) -> Response:
    """What stands on the shelf."""
    return await in_thread(  # type: ignore[no-any-return]
        lambda: shop_page(request, desk_of(request))
    )


def _came_from(request: Request, desk: Desk) -> str:
    """The step of a pen that a person came from (``reed/mandrels``); empty if from none."""
    try:
        way = "/".join(urlsplit(request.headers.get("referer", "")).path.split("/")[2:4])
    except ValueError:  # no address at all
        return ""
    return _step_of(desk, way)


def _step_of(desk: Desk, way: str) -> str:
    """``reed/mandrels`` where there is such a pen and such a step; empty where not."""
    name, _, step = way.partition("/")
    return way if name in desk.pens() and step in STEPS else ""


def shop_page(
    request: Request,
    desk: Desk,
    fault: Fault | None = None,
    notice: str = "",
    given: Mapping[str, list[str]] | None = None,
) -> Response:
    """The shop's page, with what was ``given`` and refused."""
    undo, redo = desk.memory.counts(desk.shop.name)
    common: dict[str, Any] = {
        "pens": sorted(desk.pens()), "id": "", "step": "shop", "undo": undo, "redo": redo,
        "notice": notice,
    }  # fmt: skip
    try:
        form = shop_fields.shop_form(bytes_of(desk.shop))
    except InputError as e:
        return page(request, "unread.html", title=text("shop.title"), **common, fault=in_file(e))
    if fault is not None and given is not None:
        form = shop_fields.typed(form, given)
    said = (given or {}).get("came", [""])[-1]
    came = _step_of(desk, said) if said else _came_from(request, desk)
    name = dict(desk.named()).get(came.partition("/")[0], "")
    return page(request, "shop.html", title=text("shop.title"), shop=form, fault=fault, came=came,
                came_name=name, kinds=form.instruments, **common)  # fmt: skip


async def set_shop(request: Request) -> Response:
    """The shop's form as a whole."""
    desk = desk_of(request)
    form = await request.form(max_files=0, max_fields=200)
    back = str(form.get("back", ""))
    given = {k: [str(v)[:4000] for v in form.getlist(k)] for k in form}

    def work() -> Response:
        way = _step_of(desk, back) or _step_of(desk, str(form.get("came", "")))
        pen = desk.pen(way.partition("/")[0])
        before = None if pen is None else _look(desk, pen)
        try:
            make_shop(desk)
            desk.change(desk.shop, shop_fields.set_shop(given))
        except TOLD as e:
            at, said = form_of("shop", form)
            return shop_page(request, desk, replace(fault_of(e), at=at, form=said), given=given)
        notice = text("done.shop")
        if pen is not None and before is not None:
            notice = with_moved(desk, pen, before, notice)
        if _step_of(desk, back) and pen is not None:
            desk.tell(pen, notice)
            where = f"/pens/{back}"
            if request.headers.get("hx-request") == "true":
                return Response(status_code=204, headers={"hx-redirect": where})
            return RedirectResponse(where, 303)
        return shop_page(request, desk, notice=notice, given=given)

    return await in_thread(work)  # type: ignore[no-any-return]


def _look(desk: Desk, path: Path) -> Look | None:
    """A pen as it is judged now; None where it cannot be."""
    try:
        return look(path, desk.shop, desk.archive)
    except TOLD:
        return None


async def sizes(request: Request) -> Response:
    """The sizes of a system of collets, to tick; what was ticked of them stays."""
    system = request.query_params.get("system", "")
    ticked = request.query_params.getlist("sizes")
    row = shop_fields.offered(system, ())
    shown = {"offered": row, "sizes": [s for s in ticked if s in row]}
    return page(request, "collet_sizes.html", shop=shown, bare=True)


async def undo_shop(request: Request) -> Response:
    """Take the shop's last change back, or make it again."""
    desk = desk_of(request)
    back = request.path_params["way"] == "undo"

    def work() -> Response:
        try:
            step = (desk.undo if back else desk.redo)(desk.shop)
        except TOLD as e:
            return shop_page(request, desk, fault_of(e))
        return shop_page(request, desk, notice=(undone if back else redone)(step))

    return await in_thread(work)  # type: ignore[no-any-return]


# -- my archive
async def archive(request: Request) -> Response:
    """What was made, with states; words narrow it."""
    desk = desk_of(request)
    words = request.query_params.get("words", "")[:100]
    common: dict[str, Any] = {
        "pens": sorted(desk.pens()),
        "id": "",
        "step": "archive",
        "words": words,
    }

    def work() -> Response:
        from mandrelgen.archive.disk import files
        from mandrelgen.archive.naming import MARKER
        from mandrelgen.archive.query import Query
        from mandrelgen.workflows import labels, search
        from mandrelgen.workflows.search_words import taken_apart

        if not files.exists(desk.archive / MARKER):
            return page(request, "archive.html", title=text("archive.title"), rows=None, **common)
        try:
            asked = taken_apart(words)
            found = search.find(desk.archive, Query(words=asked.words, threads=asked.threads))
            common["in_hand"] = len(labels.in_hand(desk.archive))
        except (InputError, DiskError) as e:
            return page(request, "archive.html", title=text("archive.title"), rows=(),
                        **{**common, "fault": fault_of(e)})  # fmt: skip
        return page(request, "archive.html", title=text("archive.title"), rows=found.rows, **common)

    return await in_thread(work)  # type: ignore[no-any-return]
