"""What a pen is called beside its name: whether its id stays, and how that is said."""

from __future__ import annotations

from mandrelgen.page.desk import Desk
from mandrelgen.page.runs import MakeRun
from mandrelgen.workflows import pen_ids
from mandrelgen.workflows.answers.texts import text


def stays(desk: Desk, page_id: str, id: str) -> bool:
    """Whether the archive holds anything of a pen with that id, or is about to: the id stays then,
    whatever the pen's name. Raises DiskError."""
    run = desk.runs.get(page_id)
    return (isinstance(run, MakeRun) and not run.done) or pen_ids.made(desk.archive, id)


def called(desk: Desk, page_id: str, id: str) -> str:
    """What drawings and archive call it, and for how long. Raises DiskError."""
    if stays(desk, page_id, id):
        return text("pen.id_stays", id=id)
    return text("pen.id_follows", id=id)
