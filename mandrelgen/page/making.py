"""The order: making it with progress, stopping it, the zip to send."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.core.errors import InputError
from mandrelgen.page import days, pens
from mandrelgen.page.desk import Desk
from mandrelgen.page.edits import make_shop
from mandrelgen.page.fault import TOLD, Fault, fault_of
from mandrelgen.page.ordering import orders
from mandrelgen.page.pens import in_thread, pen_of, rendered
from mandrelgen.page.runs import MakeRun
from mandrelgen.page.seen import Seen
from mandrelgen.workflows.answers.shop_fields import set_shop
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.booking import Said as BookingSaid
from mandrelgen.workflows.booking import book, day_of
from mandrelgen.workflows.catalogue import front
from mandrelgen.workflows.make_options import OVER, MakeOptions


async def begin(request: Request) -> Response:
    """Start making what was ticked; of what is had, another one."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=40)
    day = str(form.get("wanted_by", "")).strip()
    taken = {str(v) for v in form.getlist("take")}

    def work() -> Response:
        try:
            _keep_name(desk, form)
        except TOLD as e:
            return _name_refused(request, e, form)
        try:
            MakeOptions(folder=desk.archive, wanted_by=day or None).check_days()
        except InputError as e:
            fault = Fault("wanted_by", day, _day_refused(e))
            return rendered(request, "order", fault, ticked=taken)
        run = desk.runs.get(id)
        if not isinstance(run, MakeRun) or run.done:
            seen = Seen(desk, id, path, request)
            had = {c.id for c in seen.repeatable}
            if not taken & {*had, *(c.id for c in seen.to_order)}:
                return rendered(request, "order", Fault("", "", (text("order.tick"),)))
            out = frozenset(c.id for c in seen.cards if c.id not in taken)
            run = MakeRun(
                file=path, archive=desk.archive, ending=desk.ending, wanted_by=day, leave_out=out,
                again_for=frozenset(taken & had), of_turner=frozenset(taken),
                known=frozenset(f.key for f in seen.look.checked.findings),
            )  # fmt: skip
            desk.runs[id] = run
            run.begin()
        return rendered(request, "order")

    return await in_thread(work)  # type: ignore[no-any-return]


async def name(request: Request) -> Response:
    """Whose name signs the requests; what else was typed beside it stays."""
    desk, _, _ = pen_of(request)
    form = await request.form(max_files=0, max_fields=40)

    def work() -> Response:
        try:
            _keep_name(desk, form)
        except TOLD as e:
            return _name_refused(request, e, form)
        kept = str(form.get("name", "")).strip()
        notice = text("order.name_kept", name=kept) if kept else ""
        return rendered(request, "order", notice=notice, **_typed(form))

    return await in_thread(work)  # type: ignore[no-any-return]


def _keep_name(desk: Desk, form: FormData) -> None:
    """A name that was typed, into the shop's file. Raises as `Desk.change`."""
    if said := str(form.get("name", "")).strip():
        make_shop(desk)
        desk.change(desk.shop, set_shop({"name": [said]}))


def _typed(form: FormData) -> dict[str, Any]:
    """What stands in the order's form."""
    boxes = {k: str(form.get(k, "")).strip()[:80] for k in ("name", "wanted_by")}
    return {"ticked": {str(v) for v in form.getlist("take")}, "typed": boxes}


def _name_refused(request: Request, error: Exception, form: FormData) -> Response:
    return rendered(request, "order", fault_of(error, "name"), **_typed(form))


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
        typed = {k: str(form.get(k, "")).strip()[:LONGEST] for k in ("whom", days.BOX)}
        whom = typed["whom"]
        try:
            known = {o.id: o for o in orders(desk, Seen(desk, id, path, request))}
            order = known.get(str(form.get("order", "")))
            if order is None:
                raise HTTPException(404)
            # Of what is had another one is asked for.
            told = BookingSaid(whom=whom, again=not order.sent)
            book(desk.archive, order.id, "asked", day_of(typed[days.BOX]), told)
            front.refresh(desk.archive)
        except TOLD as e:
            at = f"sent {form.get('order')}"
            own = replace(fault_of(e, "whom", whom), at=at, form=typed)
            return rendered(request, "order", days.refused(e, at, typed) or own)
        return rendered(request, "order", notice=text("order.booked"))

    return await in_thread(work)  # type: ignore[no-any-return]


ANSWERS = ("quoted", "ordered", "declined")
"""What follows on the page once an order was asked for."""
_BOXES = {"price": "price", "promised.early": "promised", "date": "promised"}
LONGEST = 300
"""Most characters that are read of a box."""


async def answered(request: Request) -> Response:
    """What the turner answered, or that it is ordered: price and promised day are noted."""
    desk, id, path = pen_of(request)
    form = await request.form(max_files=0, max_fields=10)
    order, state = str(form.get("order", "")), str(form.get("state", ""))
    typed = {k: str(form.get(k, "")).strip()[:60] for k in ("price", "promised", days.BOX)}

    def work() -> Response:
        known = {o.id for o in orders(desk, Seen(desk, id, path, request)) if o.awaited}
        if order not in known or state not in ANSWERS:
            raise HTTPException(404)
        told = BookingSaid(price=typed["price"], promised=typed["promised"])
        try:
            book(desk.archive, order, state, day_of(typed[days.BOX]), told)
            front.refresh(desk.archive)
        except TOLD as e:
            if (wrong := days.refused(e, f"answered {order}", typed)) is not None:
                return rendered(request, "order", wrong)
            lines, key = fault_of(e).lines, ""
            if isinstance(e, InputError):
                code = e.findings[0].code
                key = _BOXES.get(code, "")
                if key:  # beside its box nothing has to name it
                    lines = tuple(f"{spoken(f.message)} → {spoken(f.remedy)}" for f in e.findings)
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
            if o.id == request.path_params["order"]:
                name = f"{o.id}.zip"
                return name, files.read_file(desk.archive / ORDERS / o.id / name)
        return None

    found = await in_thread(work)
    if found is None:
        raise HTTPException(404)
    return Response(
        found[1], media_type="application/zip",
        headers={"content-disposition": f'attachment; filename="{found[0]}"'},
    )  # fmt: skip
