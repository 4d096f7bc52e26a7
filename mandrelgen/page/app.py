"""The addresses of the page. Everything in front of them is the gate's."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

from mandrelgen.core.resources import template_path
from mandrelgen.page import (
    arriving,
    beside,
    calipers,
    edits,
    fixture,
    labels,
    making,
    pens,
    pictures,
)
from mandrelgen.page.desk import Desk
from mandrelgen.workflows.answers.texts import say

JS = "text/javascript"
ASSETS = {
    "style.css": ("page", "text/css"), "page.js": ("page", JS), "drag.js": ("page", JS),
    "htmx.js": ("page", JS), "idiomorph.js": ("page", JS), "model.js": ("catalogue", JS),
    "three.js": ("catalogue", JS),
}  # fmt: skip
"""What comes with the page: in which folder of templates it lies, and what it is."""


async def health(request: Request) -> Response:
    """Whether it is there."""
    return PlainTextResponse("ok")


async def asset(request: Request) -> Response:
    """A file that comes with the page."""
    name = request.path_params["name"]
    if name not in ASSETS:
        raise HTTPException(404)
    folder, kind = ASSETS[name]
    return Response(template_path(f"{folder}/{name}").read_bytes(), media_type=kind)


async def _none(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    said = say("frame.nothing") if status == 404 else say("frame.failed")
    start = say("start.title")
    body = f'<!doctype html><title>mandrelgen</title><p>{said} <a href="/">{start}</a>'
    return HTMLResponse(body, status)


def application(desk: Desk) -> Starlette:
    """The page for one desk."""
    at = "/pens/{pen}"
    step = at + "/{step}"
    changes = {
        "set": edits.set_value, "mend": edits.mend, "accept": edits.accept, "undo": edits.undo,
        "redo": edits.redo,
        "part": edits.add_part, "drop-part": edits.drop_part, "hole": edits.add_hole,
        "drop-hole": edits.drop_hole, "thread": edits.add_thread, "drop-thread": edits.drop_thread,
        "leave": edits.leave, "take": edits.take, "measured": calipers.take,
    }  # fmt: skip
    routes = [
        Route("/", beside.start, methods=["GET"]),
        Route("/health", health, methods=["GET"]),
        Route("/assets/{name}", asset, methods=["GET"]),
        Route("/pens", beside.create, methods=["POST"]),
        Route("/shop", beside.shop, methods=["GET"]),
        Route("/shop", beside.set_shop, methods=["POST"]),
        Route("/shop/sizes", beside.sizes, methods=["GET"]),
        Route("/shop/{way:str}", beside.undo_shop, methods=["POST"]),
        Route("/archive", beside.archive, methods=["GET"]),
        Route("/archive/labels/pdf", labels.of_all, methods=["GET"]),
        Route("/archive/{piece}/labels", labels.of_one, methods=["GET"]),
        Route("/archive/{piece}/files/{name}", fixture.file, methods=["GET"]),
        Route("/archive/{piece}/lost", fixture.lost, methods=["POST"]),
        Route("/archive/{piece}/found", fixture.found, methods=["POST"]),
        Route("/archive/{piece}", fixture.show, methods=["GET"]),
        Route(at, pens.first, methods=["GET"]),
        Route(at + "/sheet/{mandrel}", pictures.sheet, methods=["GET"]),
        Route(at + "/sheet/{mandrel}/pdf", pictures.sheet_file, methods=["GET"]),
        Route(at + "/card/{mandrel}/pdf", pictures.card, methods=["GET"]),
        Route(at + "/test-pieces/pdf", pictures.pieces, methods=["GET"]),
        Route(at + "/sheets/{mandrel}", pictures.sheets, methods=["GET"]),
        Route(at + "/model/{mandrel}", pictures.model, methods=["GET"]),
        Route(at + "/ways/{mandrel}", pictures.ways, methods=["GET"]),
        Route(at + "/calipers", calipers.find, methods=["GET"]),
        Route(at + "/drawing/{kind}", pictures.picture, methods=["GET"]),
        Route(at + "/orders/{order}", making.zipped, methods=["GET"]),
        Route(at + "/arrived/answer", arriving.answer, methods=["POST"]),
        Route(at + "/arrived/keep", arriving.keep, methods=["POST"]),
        Route(at + "/arrived/again", arriving.again, methods=["POST"]),
        Route(at + "/arrived/came", arriving.came, methods=["POST"]),
        Route(at + "/arrived/back", arriving.book_back, methods=["POST"]),
        Route(at + "/arrived/{way:str}", arriving.step_back, methods=["POST"]),
        Route(at + "/name", making.name, methods=["POST"]),
        Route(at + "/sent", making.sent, methods=["POST"]),
        Route(at + "/answered", making.answered, methods=["POST"]),
        Route(at + "/make", making.begin, methods=["POST"]),
        Route(at + "/stop", making.stop, methods=["POST"]),
        *(Route(f"{step}/{name}", h, methods=["POST"]) for name, h in changes.items()),
        Route(step, pens.show, methods=["GET"]),
    ]
    app = Starlette(routes=routes, exception_handlers={HTTPException: _none, Exception: _none})
    app.state.desk = desk
    return app
