"""Lengths as they were written, held in millimetres."""

from __future__ import annotations

import math
import re
from fractions import Fraction

MM_PER_INCH = Fraction(254, 10)

_NUMBER = r"(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_LENGTH = re.compile(
    rf"^\s*(?:(?P<whole>\d+)[\s-]+(?P<mnum>\d+)\s*/\s*(?P<mden>\d+)"
    rf"|(?P<num>\d+)\s*/\s*(?P<den>\d+)|(?P<dec>{_NUMBER}))"
    r"\s*(?P<unit>mm|in|inch|\")?\s*$"
)


class Length(float):
    """A length in mm that remembers the text it came from.

    ``Length.parse("3/8 in")`` equals 9.525 and prints as ``3/8 in`` where ``written`` is asked
    for; ``exact`` is the rational value in mm. Arithmetic gives plain floats.
    """

    __slots__ = ("exact", "written")
    exact: Fraction
    written: str

    def __new__(cls, exact: Fraction | float, written: str = "") -> Length:
        """Make a length of ``exact`` mm, written as ``written`` (default: the number)."""
        self = super().__new__(cls, float(exact))
        self.exact = Fraction(exact)
        self.written = written or f"{float(exact):.12g}"
        return self

    def __reduce__(self) -> tuple[type[Length], tuple[Fraction, str]]:
        return (Length, (self.exact, self.written))

    @classmethod
    def parse(cls, value: object) -> Length:
        """Read a number (mm) or a text such as ``12.5``, ``12,5 mm``, ``3/8 in``, ``1 1/4 in``.

        Raises ValueError with a sentence that says what is allowed.
        """
        if isinstance(value, Length):
            return value
        if isinstance(value, bool):
            raise ValueError("a length is a number in mm or a text such as '3/8 in'")
        if isinstance(value, int | float):
            if not math.isfinite(value):
                raise ValueError(f"{value} is not a length; give a number in mm")
            return cls(Fraction(str(value)), f"{value:.12g}")
        if not isinstance(value, str):
            raise ValueError("a length is a number in mm or a text such as '3/8 in'")
        # Bounded first: the pattern would try a long row of blanks in every way there is.
        m = _LENGTH.match(value) if len(value) <= 40 else None
        if m is None:
            raise ValueError(
                f"'{value[:40]}' is not a length; write mm as 12.5, inches as '3/8 in' or "
                "'0.375 in'"
            )
        if m["dec"]:
            exact = Fraction(m["dec"].replace(",", "."))
        else:
            whole = int(m["whole"] or 0)
            den = int(m["mden"] or m["den"])
            if den == 0:
                raise ValueError(f"'{value}' divides by zero")
            exact = whole + Fraction(int(m["mnum"] or m["num"]), den)
        unit = m["unit"]
        if unit is None and not m["dec"]:
            raise ValueError(
                f"'{value}' has no unit; a fraction is an inch size: '{value.strip()} in'"
            )
        if unit in ("in", "inch", '"'):
            exact *= MM_PER_INCH
        return cls(exact, value.strip())
