"""What a pen's pages show besides boxes: the pen's drawing, sheets, models; each drawn anew from
the files as they are now, never read from an archive."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.core.errors import InputError
from mandrelgen.page.fault import TOLD
from mandrelgen.page.pens import in_thread, pen_of
from mandrelgen.page.render import page
from mandrelgen.page.seen import Seen
from mandrelgen.workflows import reuse
from mandrelgen.workflows.alternatives import alternatives
from mandrelgen.workflows.bench_look import card_pdf, model_json, pieces_pdf, sheet_pdf, sheets_svg


async def _of_mandrel(request: Request, make: Callable[[Seen, str], Any]) -> Any:
    """What ``make`` gives for the pen and the mandrel of an address. Raises HTTPException 404."""
    desk, id, path = pen_of(request)

    def work() -> Any:
        try:
            return make(Seen(desk, id, path, request), request.path_params.get("mandrel", ""))
        except TOLD:
            return None

    found = await in_thread(work)
    if not found:
        raise HTTPException(404)
    return found


def _number(request: Request) -> int:
    text = request.query_params.get("sheet", "1")
    return int(text) if text.isdecimal() and len(text) < 3 else 0


async def sheet(request: Request) -> Response:
    """One drawing sheet of a mandrel."""
    n = _number(request)
    found = await _of_mandrel(request, lambda seen, m: sheets_svg(seen.look, m)[n - 1 : n])
    return Response(found[0], media_type="image/svg+xml")


async def sheet_file(request: Request) -> Response:
    """The drawing as a PDF to keep."""
    data = await _of_mandrel(request, lambda seen, m: sheet_pdf(seen.look, m))
    return kept(data, f"{request.path_params['mandrel']}.pdf")


async def card(request: Request) -> Response:
    """The card of a mandrel that one makes oneself."""
    data = await _of_mandrel(request, lambda seen, m: card_pdf(seen.look, m))
    return kept(data, f"{request.path_params['mandrel']}_make-yourself.pdf")


async def pieces(request: Request) -> Response:
    """The card of the test pieces that go to the turner."""
    data = await _of_mandrel(request, lambda seen, _: pieces_pdf(seen.look))
    return kept(data, f"{request.path_params['pen']}_test-pieces.pdf")


def kept(data: bytes, name: str) -> Response:
    """A PDF to keep."""
    head = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type="application/pdf", headers=head)


async def sheets(request: Request) -> Response:
    """All sheets of a mandrel, large, to read and to print."""

    def shown(seen: Seen, mandrel: str) -> Response | None:
        count = len(sheets_svg(seen.look, mandrel))
        card = next((c for c in seen.cards if c.id == mandrel), None)
        if not count or card is None:
            return None
        return page(
            request, "sheets.html", title=mandrel, id="", step="", pen=seen.id, seen=seen,
            card=card, count=count,
        )  # fmt: skip

    found: Response = await _of_mandrel(request, shown)
    return found


async def model(request: Request) -> Response:
    """A light model to be turned."""
    text = await _of_mandrel(request, lambda seen, m: model_json(seen.look, m))
    return Response(text, media_type="application/json")


async def ways(request: Request) -> Response:
    """The other ways for a mandrel, and why what the archive has nearly would not do."""

    def shown(seen: Seen, mandrel: str) -> Response:
        found = alternatives(seen.look, mandrel, seen.desk.archive)
        looked = reuse.look(seen.look.checked, seen.desk.archive, near=True)
        near = [m for m in looked.near if m.planned == mandrel]
        return page(
            request, "ways.html", id=seen.id, mandrel=mandrel, ways=found, near=near, bare=True
        )

    answer: Response = await _of_mandrel(request, shown)
    return answer


async def picture(request: Request) -> Response:
    """The pen's drawing as a file to keep."""
    desk, id, path = pen_of(request)
    kind = request.path_params["kind"]
    if kind not in ("svg", "pdf"):
        raise HTTPException(404)

    def work() -> bytes:
        from mandrelgen.files.writers import pen_svg
        from mandrelgen.files.writers.pdf import pen_page
        from mandrelgen.paper.pen_drawing.drawing import draw
        from mandrelgen.workflows.draw import says

        seen = Seen(desk, id, path, request)
        c = seen.look.checked
        pen, shop = c.inputs.pen, c.inputs.shop
        if kind == "svg":
            return pen_svg.write(draw(pen, shop, c.resolved, seen.state, seen.sizes))
        drawings = [draw(pen, shop, c.resolved, s, seen.sizes) for s in seen.states]
        return pen_page.write(drawings, says(pen, shop))

    try:
        data = await in_thread(work)
    except InputError as e:
        raise HTTPException(404) from e
    name = f'attachment; filename="{id}.{kind}"'
    media = "image/svg+xml" if kind == "svg" else "application/pdf"
    return Response(data, media_type=media, headers={"content-disposition": name})
