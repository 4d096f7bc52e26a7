"""One clock: the date asked for, else the pen's, else SOURCE_DATE_EPOCH, else today."""

from __future__ import annotations

import datetime
import os

from mandrelgen.core.errors import Finding, InputError, Level


def date_of(asked: str | None, given: datetime.date | None = None, where: str = "--date") -> str:
    """The run's date (ISO 8601). Raises InputError if ``asked``, which was said at ``where``, is
    not a date."""
    if asked is not None:
        try:
            return datetime.date.fromisoformat(asked).isoformat()
        except ValueError:
            fault = Finding(
                level=Level.ERROR,
                code="date",
                where=where,
                message=f"'{asked[:20]}' is not a date",
                remedy="write year-month-day: 2026-05-31",
            )
            raise InputError([fault]) from None
    if given is not None:
        return given.isoformat()
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isdigit() and int(epoch) < 2**33:
        return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date().isoformat()
    return datetime.datetime.now().date().isoformat()
