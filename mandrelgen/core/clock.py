"""One clock: the date asked for, else the pen's, else SOURCE_DATE_EPOCH, else today."""

from __future__ import annotations

import datetime
import os
import re

from mandrelgen.core.errors import Finding, InputError, Level

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED = re.compile(
    r"(?P<d>\d{1,2})(?:st|nd|rd|th)?\W+(?:of\W+)?(?P<m>[a-z]{3,9})\W+(?P<y>\d{4})"
    r"|(?P<m2>[a-z]{3,9})\W+(?P<d2>\d{1,2})(?:st|nd|rd|th)?\W+(?P<y2>\d{4})"
)
_LONG = ("january", "february", "march", "april", "may", "june", "july", "august", "september",
         "october", "november", "december")  # fmt: skip
_NUMBERS = re.compile(r"(\d{1,2})([./])(\d{1,2})\2(\d{4})")


def plain_day(text: str) -> str:
    """A day as people write it, as ISO 8601, where it can mean one day only; else the text as it
    is. Dots part day, month and year in this order wherever they are used for days (common
    practice, no source); strokes do not, so one of the two numbers must be no month.

    >>> plain_day("10 January 2027"), plain_day("Jan. 10th, 2027"), plain_day("10.1.2027")
    ('2027-01-10', '2027-01-10', '2027-01-10')
    >>> plain_day("25/1/2027"), plain_day("1/25/2027"), plain_day("10/1/2027")
    ('2027-01-25', '2027-01-25', '10/1/2027')
    >>> plain_day("31 June 2027"), plain_day("10 January"), plain_day("10 Marvel 2027")
    ('31 June 2027', '10 January', '10 Marvel 2027')
    """
    said = text.strip().lower()
    found: set[tuple[int, int, int]] = set()
    if m := _NAMED.fullmatch(said):
        name = m["m"] or m["m2"]
        if name in _LONG or name in (*_MONTHS, "sept"):
            found.add((int(m["y"] or m["y2"]), _MONTHS.index(name[:3]) + 1, int(m["d"] or m["d2"])))
    elif m := _NUMBERS.fullmatch(said):
        a, b, year = int(m[1]), int(m[3]), int(m[4])
        found = {(year, b, a)} if m[2] == "." else {(year, b, a), (year, a, b)}
    days = set()
    for each in found:
        try:
            days.add(datetime.date(*each).isoformat())
        except ValueError:  # no such day
            continue
    return days.pop() if len(days) == 1 else text


_SPAN = re.compile(r"(?:in |within |about )?(\w+) (day|week)s?(?: from (?:now|today))?")
_COUNTS = ("a", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
           "twelve")  # fmt: skip


def day_after(text: str, start: str) -> str:
    """A span as people promise it, counted from ``start`` (ISO 8601), as the day it ends; what is
    none is read as :func:`plain_day` reads it.

    >>> day_after("three weeks", "2027-01-10"), day_after("in 21 days", "2027-01-10")
    ('2027-01-31', '2027-01-31')
    >>> day_after("a week", "2027-01-10"), day_after("10 January 2027", "2027-01-01")
    ('2027-01-17', '2027-01-10')
    >>> day_after("some weeks", "2027-01-10"), day_after("9999 weeks", "2027-01-10")
    ('some weeks', '9999 weeks')
    >>> day_after("three weeks", "9999-12-31")
    'three weeks'
    """
    m = _SPAN.fullmatch(" ".join(text.lower().split()))
    if m is None:
        return plain_day(text)
    words = {**{w: n for n, w in enumerate(_COUNTS, 1)}, "one": 1}
    count = int(m[1]) if m[1].isdecimal() and len(m[1]) < 4 else words.get(m[1], 0)
    days = count * (7 if m[2] == "week" else 1)
    if not 0 < days <= 999:
        return text
    try:
        return (datetime.date.fromisoformat(start) + datetime.timedelta(days=days)).isoformat()
    except OverflowError:  # behind the last day there is
        return text


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
