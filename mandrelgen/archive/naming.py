"""Numbers, revision letters and folder names of the archive."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from mandrelgen.core.errors import Finding, InputError, Level

MAX_NUMBER = 16  # characters of the identification number, ISO 7200:2004
DEFAULT_PREFIX = "MG"
# I O Q S X Z are skipped: they read as 1 0 0 5 a placeholder 2 (custom of ASME Y14.35).
REVISION_LETTERS = "ABCDEFGHJKLMNPRTUVWY"
FIRST_REVISION = "A"
ORDERS = "orders"
EVENTS = "events"
# The maker's cards, a folder for each pen: derived, never a record.
CARDS = "cards"
MARKER = "mandrelgen-archive.json"
# An empty file for every order that was published: an order that is gone leaves its name here.
ORDERED = ".mandrelgen-orders"
# The front page, and how the note beside an order ends that another took the place of.
FRONT = "START-HERE.html"
SUPERSEDED = "_SUPERSEDED.txt"

_PREFIX = re.compile(r"[A-Z][A-Z0-9]{0,9}")
_REVISION_FOLDER = re.compile(rf"([{REVISION_LETTERS}]{{1,2}})(?:\.([1-9][0-9]{{0,3}}))?")


def check_prefix(prefix: str) -> str:
    """The prefix, if numbers can be built from it. Raises InputError."""
    if not _PREFIX.fullmatch(prefix):
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="prefix",
                    where=f"prefix {prefix!r}",
                    message="a number's prefix is 1 to 10 capital letters or digits and begins "
                    "with a "
                    f"letter, so that the number fits the {MAX_NUMBER} characters of ISO 7200",
                    remedy="choose a shorter or simpler prefix, such as PEN",
                )
            ]
        )
    return prefix


def number_text(prefix: str, count: int) -> str:
    """``PEN-0001``. Raises InputError if it would not fit the 16 characters of ISO 7200."""
    text = f"{prefix}-{count:04d}"
    if len(text) > MAX_NUMBER:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="numbers-used-up",
                    where=text,
                    message=f"the number has {len(text)} characters, ISO 7200 has room for "
                    f"{MAX_NUMBER}",
                    remedy="begin another archive with --to",
                )
            ]
        )
    return text


def number_count(prefix: str, text: str) -> int | None:
    """The running count of a number with this prefix, or None if it is not one."""
    return int(text[len(prefix) + 1 :]) if _is_number(_form(prefix), text) else None


def numbers_among(prefix: str, names: Iterable[str]) -> tuple[str, ...]:
    """Those of the names that are numbers with this prefix, ascending."""
    form = _form(prefix)
    return tuple(sorted((n for n in names if _is_number(form, n)), key=lambda n: (len(n), n)))


def _is_number(form: re.Pattern[str], text: str) -> bool:
    return len(text) <= MAX_NUMBER and form.fullmatch(text) is not None


@cache
def _form(prefix: str) -> re.Pattern[str]:
    """As `number_text` writes it, from 1: four digits, more without a zero in front."""
    return re.compile(rf"{re.escape(prefix)}-(?!0000\Z)(?:[0-9]{{4}}|[1-9][0-9]{{4,}})")


def prefix_of(text: str) -> str:
    """The prefix of a text that has the form of a number; empty for another text."""
    prefix, _, count = text.rpartition("-")
    if _PREFIX.fullmatch(prefix) and count.isascii() and count.isdigit():
        return prefix if number_count(prefix, text) is not None else ""
    return ""


def _value(revision: str) -> int:
    value = 0
    for letter in revision:
        value = value * len(REVISION_LETTERS) + REVISION_LETTERS.index(letter) + 1
    return value


def next_revision(revision: str) -> str:
    """The revision after this one: A, B … H, J … W, Y, AA, AB …

    Raises ValueError for a text that is no revision, and after YY: ISO 7200 has two characters.
    """
    if not revision or any(letter not in REVISION_LETTERS for letter in revision):
        raise ValueError(f"{revision!r} is no revision")
    value, text = _value(revision) + 1, ""
    while value:
        value, digit = divmod(value - 1, len(REVISION_LETTERS))
        text = REVISION_LETTERS[digit] + text
    if len(text) > 2:
        raise ValueError("no revision left after YY")
    return text


def revision_folder(revision: str, draft: int) -> str:
    """``A`` for the first draft of a revision, ``A.2`` for the second, and so on."""
    return revision if draft == 1 else f"{revision}.{draft}"


def parse_revision_folder(name: str) -> tuple[str, int] | None:
    """Revision and draft of a folder's name, or None if it is not such a name."""
    match = _REVISION_FOLDER.fullmatch(name)
    if not match or match[2] == "1":
        return None
    return match[1], int(match[2] or 1)


def revision_order(revision: str, draft: int) -> tuple[int, int]:
    """Sorts revisions and their drafts in the order they were made."""
    return _value(revision), draft
