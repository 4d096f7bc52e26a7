"""Sane pens: made as a maker would, by the rules below, from a seed.

Every rule is common practice, no source, unless it says otherwise; each keeps clear of the
warning limits (see ``arithmetic.py``) by a margin, so that nothing here is a matter of taste.

1. Barrel's tenon: M11 to M13.5, P 0.75, 0.8 or 1, or 7/16-28 UN and 1/2-28 UNEF; 8.5 to 11 P long.
2. The section's thread leaves 0.75 under the barrel's tenon at worst limits and 1.1 a side for
   the section's shoulder: a cup's wall of 0.6 over its relief of D + 0.4, 0.1 below the ring, and
   the edge break of 0.1 [A, from the trade's figures].
3. The section passes the cap's hole with 0.25 to 0.4 to spare.
4. The section's bore leaves 0.75 under its tenon at worst limits, is never over 6.5, and lets the
   tenon's root bear 30 N at the section's far end even if the resin sees a notch of 2.5 (twice a
   finishing cut, the limit where a tailstock is up for roughing) [A].
5. Holes are bored to D − P, +0.03 (81 % of the basic overlap and more [A]).
6. The cap's lip is 1.2 to 1.6 over the counterbore (1.4 and more in hard rubber and resin).
7. The barrel's shoulder is 0.9 to 1.3 a side, so cap and barrel never pretend to be flush.
8. The counterbore takes the turns that the die leaves (1 P single-point, 2 P guided, 2.5 P
   freehand) and 0.3 more; its diameter is D + 0.4.
9. Tapped depth: tenon, tap's lead (1.5 or 2 P) and 1.2 for two lengths set by hand.
10. The cap takes tenon, section and 4 for the nib; 3 to 6 of crown are left over the drill point.
11. Where there is no tailstock only short pens are made, cap and barrel below 52, of nothing weaker
    than hard rubber: both bear 90 N at their far end with the notch. Their sections cannot (no
    section of usual size does), so a warning is the truth there; one shop in ten is such a one.
12. Several starts (up to 4) only on the cap, metric, and the tenon stays at least 8.5 P long.
13. A nib thread (P 0.5) is cut into the section's bore as it is; a finial only on long pens.
14. Hard rubber, acrylic and casting resin alike; the rod decides the lip (6).
15. A casting resin whose section would be bored below 4 by rule 4 gives way to acrylic; another
    rod gets a shorter section.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from tests.judging.arithmetic import point
from tests.judging.iso import name, read
from tests.judging.trees import Sizes, Tree, hole, pen, r, shop

SEEDS = {"first": 15_001, "second": 27_644}
"""``second`` is kept back: it is run once, at the end, when no threshold moves any more."""

INCH_THREADS = ("7/16-28 UN", "1/2-28 UNEF")
MATERIALS = ("cast-acrylic", "ebonite", "casting-resin", "cast-acrylic", "acetal")


@dataclass(frozen=True)
class Sane:
    """A pen nobody should complain about, and its workshop."""

    sizes: Sizes
    pen: Tree
    shop: Tree


def sane(seed: str | int = "first", count: int = 80) -> tuple[Sane, ...]:
    """``count`` sane pens of that seed: one by its name, or a number of one's own."""
    rng = random.Random(SEEDS[seed] if isinstance(seed, str) else seed)
    return tuple(_made(drawn(rng, plain=False)) for _ in range(count))


def _made(s: Sizes) -> Sane:
    return Sane(s, pen(s), shop(s.shop, s.tailstock))


def drawn(rng: random.Random, plain: bool) -> Sizes:
    """Sizes by the rules; ``plain``: a metric single-start acrylic pen on a usual lathe."""
    tailstock = plain or rng.random() > 0.1
    cap = _cap_thread(rng, plain)
    t = read(cap)
    made = "guided" if plain else rng.choice(("freehand", "guided", "single-point"))
    material = "cast-acrylic" if plain else rng.choice(MATERIALS)
    section_od = math.floor((hole(t) - rng.uniform(0.25, 0.4)) * 20) / 20
    inner = _section_thread(t.root_ext, section_od)
    i = read(inner)
    tenon = r(math.ceil(t.p * rng.uniform(8.5, 11.0) * 2) / 2)
    exposed = rng.choice((14.0, 16.0)) if not tailstock else rng.choice((16.0, 18.0, 20.0, 22.0))
    if material == "casting-resin" and (
        not tailstock or _bore(i.root_ext, exposed, material) < LEAST_BORE
    ):
        material = "cast-acrylic"
    while (bore := _bore(i.root_ext, exposed, material)) < LEAST_BORE:
        exposed -= 1
    lip = rng.uniform(1.2, 1.6) if material in ("cast-acrylic", "acetal") else rng.uniform(1.4, 1.8)
    finial = not plain and tailstock and rng.random() < 0.3
    depth = tenon + exposed + 4
    crown = rng.uniform(3, 6) + (9 if finial else 0)
    return Sizes(
        cap_thread=cap,
        section_thread=inner,
        cap_od=r(math.ceil((t.d + 0.43 + 2 * lip) * 5) / 5),
        barrel_od=r(math.ceil((t.d + 2 * rng.uniform(0.9, 1.3)) * 5) / 5),
        section_od=r(section_od),
        bore=bore,
        tenon=tenon,
        section_tenon=r(math.ceil(i.p * rng.uniform(8.5, 10.0) * 2) / 2),
        exposed=exposed,
        cap_length=r(math.ceil(depth + point(hole(t)) + crown)),
        barrel_length=rng.choice((60.0, 72.0, 84.0)) if tailstock else rng.choice((46.0, 50.0)),
        material=material,
        made=made,
        unformed={"single-point": 1.0, "guided": 2.0, "freehand": 2.5}[made],
        tap_lead=rng.choice((1.5, 2.0)),
        nib_thread=rng.random() < 0.5,
        finial=finial,
        tailstock=tailstock,
        shop="bench" if plain else rng.choice(("bench", "own", "wide")),
    )


LEAST_BORE = 4.0
STRENGTH = {"cast-acrylic": 62.0, "acetal": 62.0, "ebonite": 52.0, "casting-resin": 30.0}
"""MPa, low end of what is published [M]."""


def _bore(root: float, reach: float, material: str) -> float:
    """The section's bore by rule 4: from the wall, and from σ π(d⁴ − b⁴)/(32 d L) = 30 N × 2.5."""
    left = root**4 - 30 * 2.5 * reach * 32 * root / (math.pi * STRENGTH[material])
    strong = max(left, 0.0) ** 0.25
    return min(6.5, math.floor((min(root - 1.5, strong) - 0.03) * 10) / 10)


def _cap_thread(rng: random.Random, plain: bool) -> str:
    if not plain and rng.random() < 0.2:
        return rng.choice(INCH_THREADS)
    d = rng.choice((11.5, 12.0, 12.5, 13.0, 13.5))
    p = rng.choice((0.75, 0.8, 1.0))
    starts = 1 if plain else rng.choice((1, 1, 2, 3, 4))
    return name(d, p, starts)


def _section_thread(root: float, section_od: float) -> str:
    """The largest of whole and half sizes, P 0.75, that rule 2 allows."""
    d = 6.0
    while True:
        larger = read(name(d + 0.5, 0.75))
        wall = (root - max(larger.root_int, larger.minor_int[0] + 1.2)) / 2
        if wall < 0.75 or section_od - larger.d < 2.2:
            return name(d, 0.75)
        d += 0.5
