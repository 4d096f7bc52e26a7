"""The pages of one pen and what their boxes and buttons do. Designing runs in worker threads; of
several answers for one pen only the newest is given."""

from __future__ import annotations

import datetime
import functools
from collections.abc import Callable, Collection
from dataclasses import replace
from pathlib import Path
from typing import Any

import anyio.to_thread
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from mandrelgen.archive.disk import files
from mandrelgen.core.clock import date_of
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, Fault, fault_of, form_of, in_file
from mandrelgen.page.once import once
from mandrelgen.page.render import page
from mandrelgen.page.runs import MakeRun
from mandrelgen.page.seen import STEPS, Seen
from mandrelgen.spec.joints import other_end
from mandrelgen.spec.patch import patched_text
from mandrelgen.workflows import bench_edits, dropped_part, small_pen
from mandrelgen.workflows.alternatives import alternatives
from mandrelgen.workflows.answers import bench_fields
from mandrelgen.workflows.answers.boxes import FLAG
from mandrelgen.workflows.answers.shop_fields import defaults_fields, shop_form
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_look import bytes_of
from mandrelgen.workflows.booking import OrderLine
from mandrelgen.workflows.edit import Transform


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
    pen_of(request)
    step = step_of(request)
    return await in_thread(lambda: rendered(request, step))  # type: ignore[no-any-return]


def rendered(
    request: Request, step: str, fault: Fault | None = None, notice: str = "",
    ticked: Collection[str] | None = None,
) -> Response:  # fmt: skip
    """A step as the files are now; ``ticked``: what of an order that was refused had been ticked
    (None: what its words say)."""
    desk, id, path = pen_of(request)
    undo, redo = desk.memory.counts(path.name)
    common: dict[str, Any] = {
        "id": id, "step": step, "pens": sorted(desk.pens()), "undo": undo, "redo": redo,
        "fault": fault, "faults": desk.refused_in(path), "notice": notice,
    }  # fmt: skip
    try:
        seen = Seen(desk, id, path, request)
    except TOLD as e:
        return page(request, "unread.html", title=id, **{**common, "fault": in_file(e)})
    more: dict[str, Any] = {}
    if step == "pen":
        more = {"forms": bench_fields.part_forms(seen.said, seen.pen), "kinds": small_pen.KINDS,
                "whole": bench_fields.pen_group(seen.said, seen.pen),
                "kept_part": _kept_part(fault)}  # fmt: skip
    elif step == "joints":
        more = {"forms": bench_fields.thread_forms(seen.said, seen.pen)}
    elif step == "mandrels":
        cards, found = once(seen.cards, seen.found)
        more = {"defaults": defaults_fields(seen.tree), "shop": shop_form(bytes_of(desk.shop)),
                "cards": cards, "found": found}  # fmt: skip
    elif step == "arrived":
        from mandrelgen.page.arriving import shown

        more = shown(request, desk, seen)
        common |= more.pop("common")
    else:
        run = desk.runs.get(id)
        more = {"run": run if isinstance(run, MakeRun) else None, "orders": orders(desk, seen),
                "example": example_day(), "ticked": ticked,
                "signed": shop_form(bytes_of(desk.shop)).name}  # fmt: skip
    name = text(f"steps.{step}")
    return page(
        request, f"{step}.html", title=f"{seen.name}: {name.lower()}", seen=seen, **common, **more
    )


def _kept_part(fault: Fault | None) -> dict[str, str]:
    """What was typed of a part that was refused."""
    return {k: fault.kept("part", k) if fault else "" for k in SMALL}


def example_day() -> str:
    """A day as it is to be typed, six weeks on: how long a jobbing turner often takes (common
    practice, no source)."""
    today = datetime.date.fromisoformat(date_of(None))
    return (today + datetime.timedelta(weeks=6)).isoformat()


def orders(desk: Desk, seen: Seen) -> list[dict[str, Any]]:
    """The orders of this pen that are in the archive, newest first."""
    from mandrelgen.archive import orders as archived
    from mandrelgen.archive import root
    from mandrelgen.archive.disk import files
    from mandrelgen.archive.naming import MARKER, ORDERS
    from mandrelgen.archive.states import State
    from mandrelgen.workflows.booking import standing

    if not files.exists(desk.archive / MARKER):
        return []
    archive = root.open_root(desk.archive)
    out = []
    pen = seen.pen.pen.id
    states = {s.order.id: s.lines for s in standing(desk.archive, pen, told=False)}
    for o in archived.of_pen(archive, pen):
        lines = states.get(o.id, ())
        place = archive.root / ORDERS / o.id / "request.txt"
        # An order of an older version has none.
        letter = files.read_file(place) if files.exists(place) else b""
        items = [f"{i.number} {i.revision}, {i.quantity} off" for i in o.items]
        out.append({"id": o.id, "date": str(o.date), "items": items,
                    "open": any(x.state is State.DESIGNED for x in lines),
                    "states": sorted({_stands(x) for x in lines}),
                    "letter": letter.decode("utf-8")})  # fmt: skip
    return out[::-1]


def _stands(x: OrderLine) -> str:
    """How a fixture of an order stands: whose work it is, since when."""
    told = ", ".join(
        t for t in (x.told_whom, text("order.since", day=x.since) if x.since else "") if t
    )
    return x.state.said + f" ({told})" * bool(told)


# -- changes
Change = Callable[[Desk, Path, Seen, FormData], str]


def changing(change: Change) -> Callable[[Request], Any]:
    """A handler that changes the pen's file and shows the step again. ``change`` gives what is to
    be said, which may be nothing."""

    @functools.wraps(change)
    async def handler(request: Request) -> Response:
        desk, _, path = pen_of(request)
        step = step_of(request)
        form = await request.form(max_files=0, max_fields=40)
        turn = await in_thread(lambda: desk.turn(path))

        def work() -> Response:
            fault, notice = None, ""
            key, typed = str(form.get("key", "")), str(form.get("value", ""))
            try:
                seen = Seen(desk, request.path_params["pen"], path, request)
                before = form.get("stamp", seen.stamp)
                notice = change(desk, path, seen, form)
                if before != seen.stamp and not notice:
                    notice = text("done.elsewhere")
            except TOLD as e:
                at, said = form_of(request.url.path.rpartition("/")[2], form)
                fault = replace(fault_of(e, key, typed), at=at, form=said)
            if desk.newest(path) > turn:
                return Response(status_code=204)
            return rendered(request, step, fault, notice)

        return await in_thread(work)  # type: ignore[no-any-return]

    return handler


@changing
def set_value(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """One box. What is refused stays in it with the reason until it is mended."""
    key, typed = str(form.get("key", "")), str(form.get("value", ""))
    make = _transform(seen, key, typed)
    try:
        desk.change(path, make(), key)
    except TOLD as e:
        desk.refuse(path, fault_of(e, key, typed))
        raise
    desk.accept(path, key)
    return ""


def _transform(seen: Seen, key: str, typed: str) -> Callable[[], Transform]:
    """What a box does to the file. Raises HTTPException 404 for a key that is no box's."""
    if key.startswith("joint."):
        from mandrelgen.spec.joints import joints

        joint = next((j for j in joints(seen.pen) if f"joint.{j.id}" == key), None)
        if joint is None:
            raise HTTPException(404)
        return lambda: bench_edits.set_joint(seen.tree, joint, typed)
    boxes = {**seen.boxes, **{f.key: f for f in defaults_fields(seen.tree)}}
    field = boxes.get(key)
    if field is None:
        raise HTTPException(404)
    value = typed if field.kind != FLAG else "true" if typed else ""
    return lambda: bench_edits.set_field(field, value)


@changing
def mend(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A remedy's button: what its words say is done, or nothing is."""
    code, where = str(form.get("code", "")), str(form.get("where", ""))
    words = str(form.get("says", ""))
    mine = [r for f in seen.look.checked.findings if f.key == (code, where) for r in f.remedies]
    for remedy in mine:
        if spoken(remedy.says) == words:
            desk.change(path, functools.partial(patched_text, changes=remedy.changes))
            return text("done.mended", what=words)
    if mine:
        return text("done.other_words")
    return text("done.gone")


@changing
def add_part(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """One more part, screwed to another if its thread fits one."""
    wanted = wanted_of(form)
    desk.change(path, lambda text: joined_up(small_pen.part_text(text, wanted), ""))
    return text("done.added", what=wanted.kind)


def joined_up(text: str, part: str) -> str:
    """A part's thread (none named: the newest part's) joined to the first free one of another part
    that is its counterpart; the text as it is where it cannot be read: the change is refused then,
    in words."""
    import tomllib

    from mandrelgen.spec.joints import apart
    from mandrelgen.spec.pen import Pen

    try:
        pen = Pen.model_validate(tomllib.loads(text.removeprefix(bench_edits.BOM)))
        pairs = apart(pen)
    except ValueError:  # ValidationError, ThreadTextError
        return text
    newest = part or list(pen.parts)[-1]
    for p in pairs:
        if p.fits and newest in (p.external.part, p.internal.part):
            return small_pen.joined(text, str(p.external), str(p.internal))
    return text


SMALL = ("kind", "thread", "diameter", "length", "crest", "minor", "ten", "starts")
"""The small form's boxes; the last four: read by calipers."""


def wanted_of(form: FormData) -> small_pen.Wanted:
    """The small form; where its thread is not known, what calipers read of it."""
    kind, thread, *sizes = (str(form.get(k, ""))[:80] for k in SMALL[:4])
    read = [f"{k}={v}" for k in SMALL[4:] if (v := str(form.get(k, "")).strip()[:30])]
    return small_pen.Wanted(kind, thread.strip() or ", ".join(read), *sizes)


@changing
def drop_part(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A part that is not wanted."""
    part = str(form.get("part", ""))
    if part not in seen.pen.parts:
        raise HTTPException(404)
    desk.change(path, dropped_part.drop_part(part))
    return text("done.dropped", what=part)


def _end(seen: Seen, form: FormData) -> tuple[str, str]:
    """An end that is there."""
    part, end = _any_end(seen, form)
    if end not in seen.pen.parts[part].ends:
        raise HTTPException(404)
    return part, end


def _any_end(seen: Seen, form: FormData) -> tuple[str, str]:
    """An end of a part, or its other one, which has nothing yet."""
    part, end = str(form.get("part", "")), str(form.get("end", ""))
    mine = seen.pen.parts.get(part)
    if mine is None or end not in {*mine.ends, other_end(part, mine)} - {""}:
        raise HTTPException(404)
    return part, end


@changing
def add_hole(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A step of a bore."""
    sizes = str(form.get("diameter", "")), str(form.get("depth", ""))
    undercut = form.get("undercut") == "true"
    desk.change(path, bench_edits.add_hole(*_any_end(seen, form), *sizes, undercut))
    return ""


@changing
def drop_hole(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Without a step of a bore."""
    number = str(form.get("number", ""))
    part, end = _end(seen, form)
    if not number.isdigit() or int(number) >= len(seen.pen.parts[part].ends[end].bore):
        raise HTTPException(404)
    desk.change(path, bench_edits.drop_hole(part, end, int(number)))
    return text("done.hole")


@changing
def add_thread(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A thread at an end."""
    side = str(form.get("side", ""))
    if side not in ("external", "internal"):
        raise HTTPException(404)
    row = str(form.get("thread", "")), str(form.get("reach", ""))
    part, end = _any_end(seen, form)
    added = bench_edits.add_thread(part, end, side, *row, "")
    desk.change(path, lambda text: joined_up(added(text), part))
    return ""


@changing
def leave(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A part without a mandrel, or with one again."""
    part, out = str(form.get("part", "")), form.get("out") == "1"
    if part not in seen.pen.parts:
        raise HTTPException(404)
    desk.change(path, bench_edits.leave_out(part, out))
    return text("mandrels.left_out" if out else "mandrels.put_back", part=part)


@changing
def take(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Another way, as it was offered."""
    wanted = str(form.get("mandrel", "")), str(form.get("kind", "")), str(form.get("end", ""))
    for a in alternatives(seen.look, wanted[0], desk.archive):
        if (a.way.kind, a.way.values.get("end", "")) == wanted[1:]:
            if a.way.pen is not None:
                desk.change(path, a.way.pen)
            if a.way.shop is not None:
                make_shop(desk)
                desk.change(desk.shop, a.way.shop)
                return text("mandrels.taken_shop")
            return text("mandrels.taken")
    return text("mandrels.gone")


def make_shop(desk: Desk) -> None:
    """The shop's file, if there is none yet. Raises DiskError."""
    if bytes_of(desk.shop) is None:
        files.create_file(desk.shop, bench_edits.NEW_SHOP)


@changing
def undo(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Take back."""
    desk.accept(path)
    desk.undo(path)
    return text("done.undone")


@changing
def redo(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Make again."""
    desk.accept(path)
    desk.redo(path)
    return text("done.redone")


async def first(request: Request) -> Response:
    """A pen's first step."""
    _, id, _ = pen_of(request)
    return RedirectResponse(f"/pens/{id}/pen", 303)
