"""The day something happened, as it is typed into a box of the page: why one cannot stand."""

from __future__ import annotations

from mandrelgen.archive.states import EARLY
from mandrelgen.core.errors import InputError
from mandrelgen.page import pens
from mandrelgen.page.fault import Fault
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.booking import AHEAD, DAY

BOX = "on"
"""The box's name in every form."""


def refused(error: Exception, at: str, form: dict[str, str]) -> Fault | None:
    """The day typed into the form ``at`` cannot stand: it is none, is still to come, or is before
    what was booked last; None if it is not the day that is refused."""
    found = error.findings if isinstance(error, InputError) else ()
    if not found or any(f.code not in (AHEAD, EARLY) and f.where != DAY for f in found):
        return None
    if any(f.code == "date" for f in found):
        day = pens.today()
        lines = [text("order.day_wrong", day=day, said=pens.in_words(day))]
    else:
        lines = [f"{spoken(f.message)} → {spoken(f.remedy)}" for f in found]
    return Fault(key=BOX, typed=form[BOX], lines=tuple(dict.fromkeys(lines)), at=at, form=form)
