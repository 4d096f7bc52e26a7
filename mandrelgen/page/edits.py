"""What the boxes and buttons of a pen's pages do to its file. Designing runs in worker threads; of
several answers for one pen only the newest is given."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.archive.disk import files
from mandrelgen.page import trying
from mandrelgen.page.desk import Desk
from mandrelgen.page.fault import TOLD, fault_of, form_of
from mandrelgen.page.pens import SMALL, in_thread, pen_of, rendered, step_of
from mandrelgen.page.seen import Seen, may_leave
from mandrelgen.paper.pen_drawing.outline import outline
from mandrelgen.spec.joints import EndRef, other_end
from mandrelgen.spec.patch import patched_text
from mandrelgen.workflows import bench_edits, dropped_part, small_pen
from mandrelgen.workflows.alternatives import alternatives
from mandrelgen.workflows.answers.changes_said import changes_said
from mandrelgen.workflows.answers.moved_said import moved_said
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_look import Look, bytes_of, look
from mandrelgen.workflows.dropped_thread import LeftOver, has, left_over, said_of
from mandrelgen.workflows.dropped_thread import drop_thread as dropped_thread
from mandrelgen.workflows.edit import Edited


class Done(NamedTuple):
    """What is to be said of a change; ``left``: threads that nothing screws into any more."""

    says: str
    left: tuple[LeftOver, ...] = ()


Change = Callable[[Desk, Path, Seen, FormData], str | Done]


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
            left: tuple[LeftOver, ...] = ()
            key, typed = str(form.get("key", "")), str(form.get("value", ""))
            try:
                seen = Seen(desk, request.path_params["pen"], path, request)
                before = form.get("stamp", seen.stamp)
                done = change(desk, path, seen, form)
                notice, left = done if isinstance(done, Done) else (done, ())
                tried = trying.again(
                    desk, path, lambda: Seen(desk, request.path_params["pen"], path, request)
                )
                notice = " ".join(t for t in (notice, tried) if t)
                notice = with_moved(desk, path, seen.look, notice)
                if before != seen.stamp and not notice:
                    notice = text("done.elsewhere")
            except TOLD as e:
                at, said = form_of(request.url.path.rpartition("/")[2], form)
                told = desk.refused_in(path).get(key) or fault_of(e, key, typed)
                fault = replace(told, at=at, form=said)
            if desk.newest(path) > turn:
                return Response(status_code=204)
            return rendered(request, step, fault, notice, left=left)

        return await in_thread(work)  # type: ignore[no-any-return]

    return handler


def with_moved(desk: Desk, path: Path, before: Look, notice: str) -> str:
    """What a change did: the mandrels whose word changed, then ``notice``, then what else it asks
    of sheets; the look at the file now is kept, and shown next. The notice alone where the file
    has another name now or cannot be judged."""
    try:
        words, runs = moved_said(before, look(path, desk.shop, desk.archive))
    except TOLD:
        return notice
    return "\n".join(t for t in (words, notice, runs) if t)


@changing
def set_value(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """One box. What is refused stays in it with the reason until it is mended."""
    return trying.put(desk, path, seen, str(form.get("key", "")), str(form.get("value", "")))


@changing
def mend(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A remedy's button: what its words say is done, or nothing is."""
    code, where = str(form.get("code", "")), str(form.get("where", ""))
    words = str(form.get("says", ""))
    mine = [r for f in seen.look.checked.findings if f.key == (code, where) for r in f.remedies]
    for remedy in mine:
        if spoken(remedy.says) == words:
            desk.change(path, functools.partial(patched_text, changes=remedy.changes))
            was = re.sub(r"\(now ([^()]*)\)", r"(was \1)", words)
            return text("done.mended", what=was)
    if mine:
        return text("done.other_words")
    return text("done.gone")


@changing
def accept(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A warning that the maker knows of and leaves."""
    key = str(form.get("code", "")), str(form.get("where", ""))
    for f in seen.look.checked.findings:
        if f.key == key and may_leave(f):
            desk.change(path, bench_edits.accept(f, text("found.reason")))
            return text("done.accepted")
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
        pen = Pen.model_validate(tomllib.loads(text))
        pairs = apart(pen)
    except ValueError:  # ValidationError, ThreadTextError
        return text
    newest = part or list(pen.parts)[-1]
    for p in pairs:
        if p.fits and newest in (p.external.part, p.internal.part):
            return small_pen.joined(text, str(p.external), str(p.internal))
    return text


def wanted_of(form: FormData) -> small_pen.Wanted:
    """The small form; where its thread is not known, what calipers read of it."""
    kind, thread, *sizes = (str(form.get(k, ""))[:80] for k in SMALL[:4])
    read = [f"{k}={v}" for k in SMALL[4:] if (v := str(form.get(k, "")).strip()[:30])]
    return small_pen.Wanted(kind, thread.strip() or ", ".join(read), *sizes)


@changing
def drop_part(desk: Desk, path: Path, seen: Seen, form: FormData) -> Done:
    """A part that is not wanted."""
    part = str(form.get("part", ""))
    if part not in seen.pen.parts:
        raise HTTPException(404)
    left = left_over(seen.pen, lambda ref, _: ref.part == part)
    desk.change(path, dropped_part.drop_part(part))
    return Done(text("done.dropped", what=seen.pen.parts[part].name or part), left)


@changing
def drop_thread(desk: Desk, path: Path, seen: Seen, form: FormData) -> Done:
    """A thread that is not wanted, with its joint."""
    side = str(form.get("side", ""))
    ref = EndRef(*_end(seen, form))
    if not has(seen.pen, ref, side):
        raise HTTPException(404)
    (gone,) = said_of(seen.pen, [(ref, side)])
    left = left_over(seen.pen, lambda *at: at == (ref, side))
    desk.change(path, dropped_thread(*ref, side))
    return Done(text("done.dropped", what=gone.thread), left)


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
    place = _any_end(seen, form)
    desk.change(path, bench_edits.add_hole(*place, *sizes, undercut))
    return _taper(desk, path, seen, place[0])


@changing
def drop_hole(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Without a step of a bore."""
    number = str(form.get("number", ""))
    part, end = _end(seen, form)
    if not number.isdigit() or int(number) >= len(seen.pen.parts[part].ends[end].bore):
        raise HTTPException(404)
    desk.change(path, bench_edits.drop_hole(part, end, int(number)))
    return " ".join(t for t in (text("done.hole"), _taper(desk, path, seen, part)) if t)


def _taper(desk: Desk, path: Path, seen: Seen, part: str) -> str:
    """That the outside is drawn otherwise now, where a hole alone was changed."""
    try:
        now = look(path, desk.shop, desk.archive)
    except TOLD:
        return ""
    before, after = seen.look.checked.inputs, now.checked.inputs
    old, new = (outline(part, i.pen.parts[part], i.shop).outer for i in (before, after))
    return "" if old == new else text("done.taper")


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


def undone(step: Edited | None) -> str:
    """What was taken back."""
    what = "" if step is None else changes_said(step.before, step.after)
    return text("done.undone_what", what=what) if what else text("done.undone")


def redone(step: Edited | None) -> str:
    """What was made again."""
    what = "" if step is None else changes_said(step.before, step.after)
    return text("done.redone_what", what=what) if what else text("done.redone")


@changing
def undo(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Take back."""
    desk.accept(path)
    return undone(desk.undo(path))


@changing
def redo(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """Make again."""
    desk.accept(path)
    return redone(desk.redo(path))
