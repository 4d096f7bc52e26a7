"""What is asked of ``make``: one object from the command line to the order."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import NamedTuple

from mandrelgen.core.clock import date_of, plain_day
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.files.formats import EVERY

WANTED_BY, OVER = "--wanted-by", "make.wanted_by"


class MakeOptions(NamedTuple):
    """What is asked for all pens of a run.

    ``folder``: the archive. ``shop``: shop file (None: beside each pen, else beside the archive).
    ``formats``: those of `make_loose` (None: all, numbered and published). ``date``: on the paper,
    ISO 8601 (None: the pen's, else today). ``reason``: why a released fixture changes. ``prove``:
    the kernel proves the files too. ``again``: nothing is left out that is there or was ordered;
    ``again_for``: nor these mandrels (ids): another of each is ordered of a turner.
    ``wanted_by``: the day the set is wanted by, as a person writes it (`plain_day`).
    ``same_as``: numbers of fixtures that go on under an id that was changed. ``leave_out``: ids of
    mandrels that are not made; ``of_turner``: of those that are ordered though the maker could make
    them.
    """

    folder: Path
    shop: Path | None = None
    formats: tuple[str, ...] | None = None
    date: str | None = None
    reason: str | None = None
    prove: bool = False
    again: bool = False
    wanted_by: str | None = None
    same_as: tuple[str, ...] = ()
    leave_out: frozenset[str] = frozenset()
    again_for: frozenset[str] = frozenset()
    of_turner: frozenset[str] = frozenset()

    def day(self, own: datetime.date | None = None) -> str:
        """The date on the paper, ISO 8601; ``own``: the pen file's. Raises InputError."""
        return date_of(self.date, own)

    def check_days(self) -> None:
        """Raises InputError if a day that was named is none, or the set is wanted by a day that is
        over."""
        today = date_of(self.date)
        if self.wanted_by is not None and (day := self.wanted_day) < today:
            raise InputError.of(
                OVER, WANTED_BY, f"{day} is over: nothing can be made by then",
                f"{today} or a later day, or leave it out",
            )  # fmt: skip

    @property
    def wanted_day(self) -> str:
        """`wanted_by`, empty if no day was named. Raises InputError if it is none."""
        if not self.wanted_by:
            return ""
        return date_of(plain_day(self.wanted_by), where=WANTED_BY)


def chosen_formats(text: str | None) -> tuple[str, ...] | None:
    """``--only`` as formats; None: all. Raises InputError naming the formats there are."""
    if text is None:
        return None
    names = tuple(dict.fromkeys(t.strip() for t in text.split(",") if t.strip()))
    wrong = [n for n in names if n not in EVERY]
    if wrong or not names:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="make.only",
                    where="--only",
                    message=f"'{', '.join(wrong) or text}' is not a format",
                    remedy=f"formats are {', '.join(EVERY)}",
                )
            ]
        )
    return names
