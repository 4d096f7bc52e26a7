"""One fixture of the archive: its drawing, history and files; that it is lost, or found again."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.core.errors import DiskError, InputError
from mandrelgen.page import days, pens
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, Fault, fault_of
from mandrelgen.page.pens import desk_of, in_thread
from mandrelgen.page.pictures import kept
from mandrelgen.page.render import page
from mandrelgen.workflows.answers.texts import text

LOST, FOUND = "lost", "found"


async def show(request: Request) -> Response:
    """What was drawn, how it stands, what was read on it."""
    desk = desk_of(request)
    return await in_thread(lambda: _shown(request, desk))  # type: ignore[no-any-return]


def _shown(request: Request, desk: Desk, fault: Fault | None = None, notice: str = "") -> Response:
    from mandrelgen.workflows.arrived import sheets_inline
    from mandrelgen.workflows.fixture_view import fixture_view

    number, _, revision = str(request.path_params["piece"]).rpartition("-")
    try:
        at = fixture_view(desk.archive, number, revision)
        sheets = () if at.build is None else sheets_inline(at.build, {})
    except InputError as e:
        raise HTTPException(404) from e
    except DiskError as e:
        return page(request, "unread.html", title=text("archive.title"), id="", step="archive",
                    pens=sorted(desk.pens()), undo=0, redo=0, fault=fault_of(e))  # fmt: skip
    return page(
        request, "fixture.html", title=at.row.name, id="", step="archive", at=at, sheets=sheets,
        pen=desk.file_of(at.row.pen), fault=fault, notice=notice, today=pens.today(),
        today_said=pens.in_words(pens.today()),
    )  # fmt: skip


async def lost(request: Request) -> Response:
    """It is lost, since the day that is said."""
    return await _stands(request, LOST)


async def found(request: Request) -> Response:
    """What was lost is in use again, since the day that is said."""
    return await _stands(request, FOUND)


async def _stands(request: Request, way: str) -> Response:
    desk = desk_of(request)
    form = await request.form(max_files=0, max_fields=5)

    def work() -> Response:
        typed = {days.BOX: str(form.get(days.BOX, "")).strip()[:60]}
        try:
            return _shown(request, desk, notice=_booked(request, desk, way, typed[days.BOX]))
        except TOLD as e:
            return _shown(request, desk, days.refused(e, way, typed) or fault_of(e))

    return await in_thread(work)  # type: ignore[no-any-return]


def _booked(request: Request, desk: Desk, way: str, said: str) -> str:
    """Book it on the day that is ``said``; the notice. Raises InputError, DiskError."""
    from mandrelgen.archive.states import State
    from mandrelgen.workflows import booking
    from mandrelgen.workflows.catalogue import front

    number, _, revision = str(request.path_params["piece"]).rpartition("-")
    day = booking.day_of(said)
    state = State.LOST if way == LOST else State.IN_USE
    booking.book(desk.archive, f"{number}:{revision}", state.value, day, booking.Said())
    front.refresh(desk.archive)
    return text(f"fixture.{way}_on", name=f"{number} {revision}", day=day)


async def file(request: Request) -> Response:
    """A file that was published of it, to keep."""
    desk = desk_of(request)
    number, _, revision = str(request.path_params["piece"]).rpartition("-")
    name = str(request.path_params["name"])

    def work() -> bytes | None:
        from mandrelgen.workflows.fixture_view import file_of

        try:
            return file_of(desk.archive, number, revision, name)
        except TOLD:
            return None

    data = await in_thread(work)
    if data is None:
        raise HTTPException(404)
    return kept(data, name)
