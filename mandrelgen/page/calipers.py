"""A joint's thread known by calipers alone: readings in, candidates out, one of them taken with
what was read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from starlette.datastructures import FormData, QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from mandrelgen.core.errors import Finding, InputError
from mandrelgen.page.desk import Desk
from mandrelgen.page.edits import changing
from mandrelgen.page.fault import TOLD, fault_of
from mandrelgen.page.pens import in_thread, pen_of
from mandrelgen.page.render import page
from mandrelgen.page.seen import Seen
from mandrelgen.spec.joints import Joint, joints
from mandrelgen.workflows import bench_edits
from mandrelgen.workflows.answers import bench_fields, found_thread
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.measured_thread import QUESTIONS, Answers

LONGEST = 30


def _joint(seen: Seen, key: str) -> Joint:
    found = next((j for j in joints(seen.pen) if bench_fields.joint_key(j) == key), None)
    if found is None:
        raise HTTPException(404)
    return found


def _answers(form: Mapping[str, object] | FormData | QueryParams) -> Answers:
    """Raises InputError with every reading that cannot be read."""
    answers = Answers()
    faults: list[Finding] = []
    for kind in QUESTIONS:
        if typed := str(form.get(kind, "")).strip()[:LONGEST]:
            try:
                answers.take(kind, typed)
            except InputError as e:
                faults += e.findings
    if faults:
        raise InputError(faults)
    return answers


async def find(request: Request) -> Response:
    """The threads that agree with the readings of one joint."""
    desk, id, path = pen_of(request)
    asked = request.query_params

    def work() -> Response:
        try:
            _joint(Seen(desk, id, path, request), asked.get("joint", ""))
            answers = _answers(asked)
            found = answers.found()
        except TOLD as e:
            return page(request, "calipers.html", id=id, fault=fault_of(e), bare=True)
        return page(
            request, "calipers.html", id=id, joint=asked.get("joint", ""), typed=answers.typed,
            verdict=found_thread.verdict(found), rows=found_thread.rows(found), bare=True,
        )  # fmt: skip

    answer: Response = await in_thread(work)
    return answer


@changing
def take(desk: Desk, path: Path, seen: Seen, form: FormData) -> str:
    """A candidate into the file, with the readings that it has keys for."""
    joint = _joint(seen, str(form.get("joint", "")))
    read = _answers(form).found().readings
    named = str(form.get("thread", ""))
    desk.change(path, bench_edits.set_measured(seen.tree, joint, named, read))
    return text("calipers.taken", thread=named)
