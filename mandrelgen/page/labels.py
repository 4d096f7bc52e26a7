"""Labels for the drawers, as a PDF to keep: of all that is in hand, or of one fixture."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.page.fault import TOLD
from mandrelgen.page.pens import desk_of, in_thread
from mandrelgen.page.pictures import kept


async def of_all(request: Request) -> Response:
    """A label for each fixture that is in hand."""
    return await _sheet(request, "")


async def of_one(request: Request) -> Response:
    """A label for the fixture of an address, ``MG-0001-A``."""
    return await _sheet(request, str(request.path_params["piece"]))


async def _sheet(request: Request, piece: str) -> Response:
    folder = desk_of(request).archive

    def work() -> bytes | None:
        from mandrelgen.workflows import labels

        number, _, revision = piece.rpartition("-")
        try:
            return labels.labels_of(folder, f"{number}:{revision}" if piece else "")
        except TOLD:
            return None

    data = await in_thread(work)
    if data is None:
        raise HTTPException(404)
    return kept(data, f"labels_{piece}.pdf" if piece else "labels.pdf")
