"""Limits of the threads that the generators use, retyped; nothing of the program is imported.

ISO 965-1:2013: Table 1 (es), crest and pitch diameter tables. Rows marked [A] are in no printed
table: grade 6 external is 90 P^0.4 d^0.1 (d the geometric mean of the range) to the nearest R40
number, the internal one five R40 steps above. Inch: ASME B1.1 formulae, [M] from memory. mm.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

INCH = 25.4

# P: (es of g, Td grade 6, TD1 grade 6), µm.
_BY_PITCH = {
    0.5: (20, 106, 140),
    0.75: (22, 140, 190),
    0.8: (24, 150, 200),
    1.0: (26, 180, 236),
}
# (over 5.6 to 11.2), (over 11.2 to 22.4): (Td2 grade 6, TD2 grade 6), µm.
_BY_SIZE = {
    0.5: ((85, 112), (90, 118)),  # [A]; 112 is also M6x0.5's and M10x0.5's in published lists
    0.75: ((100, 132), (106, 140)),  # second pair [A]; 140 is also M12x0.75's in published lists
    0.8: ((100, 132), (106, 140)),  # [A]
    1.0: ((112, 150), (118, 160)),
}


@dataclass(frozen=True)
class Thread:
    """Designation and worst limits of one diameter on either side, mm."""

    text: str
    d: float
    p: float
    starts: int
    left: bool
    major_ext: tuple[float, float]  # crest of the screw, 6g or 2A
    pitch_ext: tuple[float, float]
    pitch_int: tuple[float, float]
    minor_int: tuple[float, float]  # crest of the nut, 6H or 2B

    @property
    def root_ext(self) -> float:
        """Least root of the screw: a groove with R = 0.125 P at the least pitch diameter [A].

        The V below the pitch line is H/2 = 0.433 P deep and its round bottom lifts it by R.
        """
        return self.pitch_ext[0] - 2 * (0.4330 - 0.125) * self.p

    @property
    def root_int(self) -> float:
        """Largest root of the nut: D2 max + 0.794 P (the root's flat not below H/8 sharp) [A]."""
        return self.pitch_int[1] + 0.7939 * self.p

    @property
    def crest_mid(self) -> float:
        """Class middle of the screw's crest."""
        return sum(self.major_ext) / 2


def name(d: float, p: float, starts: int = 1, left: bool = False) -> str:
    """Metric text without class."""
    body = f"M{d:g}xPh{starts * p:g}P{p:g}" if starts > 1 else f"M{d:g}x{p:g}"
    return body + ("-LH" if left else "")


_METRIC = re.compile(r"M([\d.]+)x(?:Ph([\d.]+)P)?([\d.]+)(?:-\d[gH])?(-LH)?$")
_UN = re.compile(r"(\d+)/(\d+)-(\d+) UN\w*(?:-2[AB])?$")


def read(text: str) -> Thread:
    """Thread of a text that :func:`name` or the inch list writes (with or without class)."""
    m = _METRIC.match(text)
    if m:
        d, p = float(m[1]), float(m[3])
        starts = round(float(m[2]) / p) if m[2] else 1
        es, td, td1 = (x / 1000 for x in _BY_PITCH[p])
        td2, tdi2 = (x / 1000 for x in _BY_SIZE[p][0 if d <= 11.2 else 1])
        d2, d1 = d - 0.649519 * p, d - 1.082532 * p
        return Thread(
            text=text,
            d=d,
            p=p,
            starts=starts,
            left=bool(m[4]),
            major_ext=(d - es - td, d - es),
            pitch_ext=(d2 - es - td2, d2 - es),
            pitch_int=(d2, d2 + tdi2),
            minor_int=(d1, d1 + td1),
        )
    u = _UN.match(text)
    if not u:
        raise ValueError(text)
    d, p = int(u[1]) / int(u[2]), 1 / int(u[3])
    # ASME B1.1, class 2A and 2B, special length of engagement 9 P [M].
    t2 = 0.0015 * d ** (1 / 3) + 0.0015 * (9 * p) ** 0.5 + 0.015 * p ** (2 / 3)
    es, td, td1 = 0.3 * t2, 0.06 * p ** (2 / 3), 0.25 * p - 0.4 * p * p
    d2, d1 = d - 0.649519 * p, d - 1.082532 * p
    pairs = (
        (d - es - td, d - es), (d2 - es - t2, d2 - es), (d2, d2 + 1.3 * t2), (d1, d1 + td1)
    )  # fmt: skip
    return Thread(
        text, d * INCH, p * INCH, 1, False, *((a * INCH, b * INCH) for a, b in pairs)
    )  # fmt: skip
