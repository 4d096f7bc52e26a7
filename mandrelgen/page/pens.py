"""The pages of one pen as its files are. Designing runs in worker threads."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

import anyio.to_thread
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from mandrelgen.core.clock import date_of
from mandrelgen.page.called import called
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, Fault, in_file
from mandrelgen.page.once import once
from mandrelgen.page.ordering import another, orders, wished_day
from mandrelgen.page.render import page
from mandrelgen.page.runs import MakeRun
from mandrelgen.page.seen import STEPS, Seen
from mandrelgen.page.step_states import steps
from mandrelgen.workflows import small_pen
from mandrelgen.workflows.answers import bench_fields
from mandrelgen.workflows.answers.shop_fields import defaults_fields, shop_form
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_look import bytes_of

EMPTY: Mapping[str, str] = MappingProxyType({})


def desk_of(request: Request) -> Desk:
    """What the page works on."""
    found: Desk = request.app.state.desk
    return found


def pen_of(request: Request) -> tuple[Desk, str, Path]:
    """The pen an address names. Raises HTTPException 404."""
    desk, id = desk_of(request), request.path_params["pen"]
    path = desk.pen(id)
    if path is None:
        raise HTTPException(404)
    return desk, id, path


def step_of(request: Request) -> str:
    """The step an address names. Raises HTTPException 404."""
    step = str(request.path_params["step"])
    if step not in STEPS:
        raise HTTPException(404)
    return step


async def in_thread(work: Callable[[], Any]) -> Any:
    """Off the event loop."""
    return await anyio.to_thread.run_sync(work)


async def show(request: Request) -> Response:
    """A step of a pen."""
    desk, _, path = pen_of(request)
    step = step_of(request)
    notice = desk.told(path)
    return await in_thread(lambda: rendered(request, step, notice=notice))  # type: ignore[no-any-return]


def rendered(
    request: Request, step: str, fault: Fault | None = None, notice: str = "",
    ticked: Collection[str] | None = None, left: Collection[object] = (),
    typed: Mapping[str, str] = EMPTY,
) -> Response:  # fmt: skip
    """A step as the files are now; ``ticked``: what of an order that was refused had been ticked
    (None: what its words say), ``typed``: what else stands in its boxes; ``left``: threads that a
    change has left without counterpart."""
    desk, id, path = pen_of(request)
    run = desk.runs.get(id) if step == "order" else None
    # Asked before the archive is read: what ends meanwhile is there at the next answer only.
    over = not isinstance(run, MakeRun) or run.done
    undo, redo = desk.memory.counts(path.name)
    common: dict[str, Any] = {
        "id": id, "step": step, "pens": sorted(desk.pens()), "undo": undo, "redo": redo,
        "fault": fault, "faults": desk.refused_in(path), "notice": notice,
        "left": left,
    }  # fmt: skip
    try:
        seen = Seen(desk, id, path, request)
    except TOLD as e:
        return page(request, "unread.html", title=id, **{**common, "fault": in_file(e)})
    more: dict[str, Any] = {}
    if step == "pen":
        more = {"forms": bench_fields.part_forms(seen.said, seen.pen), "kinds": small_pen.KINDS,
                "whole": bench_fields.pen_group(seen.said, seen.pen),
                "kept_part": _kept_part(fault),
                "called": called(desk, id, seen.pen.pen.id)}  # fmt: skip
    elif step == "joints":
        more = {"forms": bench_fields.thread_forms(seen.said, seen.pen)}
    elif step == "mandrels":
        cards, found = once(seen.cards, seen.to_mend)
        more = {"defaults": defaults_fields(seen.tree), "shop": shop_form(bytes_of(desk.shop)),
                "cards": cards, "found": found}  # fmt: skip
    elif step == "arrived":
        from mandrelgen.page.arriving import shown

        more = shown(request, desk, seen)
        common |= more.pop("common")
    else:
        known = run if isinstance(run, MakeRun) else None
        wanted = request.query_params.get("another", "")
        made = sorted(orders(desk, seen), key=lambda o: known is None or o.id != known.order)
        more = {"run": known, "over": over, "orders": made,
                "wanted": wanted, "another": another(seen, wanted) if wanted else None,
                "day": typed.get("wanted_by", "" if wanted else wished_day(known, made)),
                "typed": typed,
                "example": example_day(), "example_said": in_words(example_day()),
                "today": today(), "today_said": in_words(today()),
                "ticked": ticked,
                "signed": shop_form(bytes_of(desk.shop)).name}  # fmt: skip
    name = text(f"steps.{step}")
    return page(
        request,
        f"{step}.html",
        title=f"{seen.name}: {name.lower()}",
        seen=seen,
        steps=steps(seen),
        **common,
        **more,
    )


def _kept_part(fault: Fault | None) -> dict[str, str]:
    """What was typed of a part that was refused."""
    return {k: fault.kept("part", k) if fault else "" for k in SMALL}


def example_day() -> str:
    """A day as it is to be typed, six weeks on: how long a jobbing turner often takes (common
    practice, no source)."""
    return (datetime.date.fromisoformat(today()) + datetime.timedelta(weeks=6)).isoformat()


def today() -> str:
    """The day it is, ISO 8601."""
    return date_of(None)


def in_words(day: str) -> str:
    """A day (ISO 8601) with its month's name."""
    said = datetime.date.fromisoformat(day)
    return f"{said.day} {said:%B %Y}"


SMALL = ("kind", "thread", "diameter", "length", "crest", "minor", "ten", "starts")
"""The small form's boxes; the last four: read by calipers."""


async def first(request: Request) -> Response:
    """A pen's first step."""
    _, id, _ = pen_of(request)
    return RedirectResponse(f"/pens/{id}/pen", 303)
