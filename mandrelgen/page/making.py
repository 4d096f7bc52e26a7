"""The order: making it with progress, stopping it, the zip to send."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.core.clock import plain_day
from mandrelgen.core.errors import InputError
from mandrelgen.page import pens
from mandrelgen.page.fault import TOLD, Fault, fault_of
from mandrelgen.page.pens import in_thread, orders, pen_of, rendered
from mandrelgen.page.runs import MakeRun
from mandrelgen.page.seen import Seen
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.booking import Said as BookingSaid
from mandrelgen.workflows.booking import book
from mandrelgen.workflows.catalogue import front
from mandrelgen.workflows.make_options import OVER, MakeOptions


async def begin(request: Request) -> Response:
    """Start making what the pen needs."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=10)
    day = str(form.get("wanted_by", "")).strip()
    taken = {str(v) for v in form.getlist("take")}

    def work() -> Response:
        try:
            MakeOptions(folder=desk.archive, wanted_by=day or None).check_days()
        except InputError as e:
            fault = Fault("wanted_by", day, _day_refused(e))
            return rendered(request, "order", fault, ticked=taken)
        run = desk.runs.get(id)
        if not isinstance(run, MakeRun) or run.done:
            seen = Seen(desk, id, path, request)
            if not taken & {c.id for c in seen.to_order}:
                return rendered(request, "order", Fault("", "", (text("order.tick"),)))
            out = frozenset(c.id for c in seen.cards if c.id not in taken)
            run = MakeRun(
                file=path, archive=desk.archive, ending=desk.ending, wanted_by=day, leave_out=out,
                known=frozenset(f.key for f in seen.look.checked.findings),
            )  # fmt: skip
            desk.runs[id] = run
            run.begin()
        return rendered(request, "order")

    return await in_thread(work)  # type: ignore[no-any-return]


def _day_refused(e: InputError) -> tuple[str, ...]:
    """Why the day cannot stand: it is over, or no day."""
    (f,) = e.findings
    if f.code == OVER:
        return (f"{f.message} → {f.remedy}",)
    day = pens.example_day()
    return (text("order.day_wrong", day=day, said=pens.in_words(day)),)


async def stop(request: Request) -> Response:
    """Stop it at its next step."""
    desk, id, _ = pen_of(request)
    run = desk.runs.get(id)
    if isinstance(run, MakeRun):
        run.stop.set()
    return await in_thread(lambda: rendered(request, "order"))  # type: ignore[no-any-return]


async def sent(request: Request) -> Response:
    """The order went off: every mandrel in it counts as asked for."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=10)

    def work() -> Response:
        whom = str(form.get("whom", "")).strip()
        try:
            known = {str(o["id"]) for o in orders(desk, Seen(desk, id, path, request))}
            if form.get("order") not in known:
                raise HTTPException(404)
            book(desk.archive, str(form["order"]), "asked", None, BookingSaid(whom=whom))
            front.refresh(desk.archive)
        except TOLD as e:
            return rendered(request, "order", fault_of(e, "whom", whom))
        return rendered(request, "order", notice=text("order.booked"))

    return await in_thread(work)  # type: ignore[no-any-return]


ANSWERS = ("quoted", "ordered", "declined")
"""What follows on the page once an order was asked for."""
_BOXES = {"price": "price", "promised.early": "promised", "date": "promised"}


async def answered(request: Request) -> Response:
    """What the turner answered, or that it is ordered: price and promised day are noted."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=10)
    order, state = str(form.get("order", "")), str(form.get("state", ""))
    typed = {k: str(form.get(k, "")).strip()[:60] for k in ("price", "promised")}

    def work() -> Response:
        known = {str(o["id"]) for o in orders(desk, Seen(desk, id, path, request)) if o["awaited"]}
        if order not in known or state not in ANSWERS:
            raise HTTPException(404)
        told = BookingSaid(price=typed["price"], promised=plain_day(typed["promised"]))
        try:
            book(desk.archive, order, state, None, told)
            front.refresh(desk.archive)
        except TOLD as e:
            lines, key = fault_of(e).lines, ""
            if isinstance(e, InputError):
                code = e.findings[0].code
                key = _BOXES.get(code, "")
                lines = _day_refused(e) if code == "date" else lines
            fault = Fault(
                key=key, typed=typed.get(key, ""), lines=lines, at=f"answered {order}", form=typed
            )
            return rendered(request, "order", fault)
        return rendered(request, "order", notice=text("order.answered", state=state))

    return await in_thread(work)  # type: ignore[no-any-return]


async def zipped(request: Request) -> Response:
    """What the turner gets, in one file."""
    desk, id, path = pen_of(request)

    def work() -> tuple[str, bytes] | None:
        from mandrelgen.archive.disk import files
        from mandrelgen.archive.naming import ORDERS

        seen = Seen(desk, id, path, request)
        for o in orders(desk, seen):
            if o["id"] == request.path_params["order"]:
                name = f"{o['id']}.zip"
                return name, files.read_file(desk.archive / ORDERS / str(o["id"]) / name)
        return None

    found = await in_thread(work)
    if found is None:
        raise HTTPException(404)
    return Response(
        found[1], media_type="application/zip",
        headers={"content-disposition": f'attachment; filename="{found[0]}"'},
    )  # fmt: skip
