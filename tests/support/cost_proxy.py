"""What a mandrel costs to make, as a figure to compare defaults by, with the joint's mismatch
beside it.

``python -m tests.support.cost_proxy`` prints the starters and 100 random mandrels beside the
table kept before the defaults changed; ``--save FILE`` keeps a table, ``--pens`` redraws the random
pens. Its second figure leaves out, on both sides, special gauges that nobody needs: of a blank, and
where what screws home decides (the customer's own tool; now also a thread no shop has a gauge for).
The weights are minutes of a jobbing turner's time, an estimate (common practice, no source):
they were set, with the table, before any default changed, and put a piece drawn by the defaults of
that day at 2 to 3 hours.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards import iso_286
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.turning.acceptance import LIMITS, rule_of
from mandrelgen.workshop.turning.operations import order_of_work
from tests.paths import GOLDEN

STARTERS = {"heron": "bench", "wren": "bench", "bittern": "small"}
RANDOM = 100
SEED = 16
PENS = GOLDEN / "cost-pens.json"
BEFORE = GOLDEN / "cost-before.json"

# Minutes each; see the module's text.
WEIGHTS = {
    "operations": 3.0,
    "set_ups": 10.0,
    "tools": 3.0,
    "special_gauges": 20.0,
    "finer_than_it8": 5.0,
    "balloons": 1.0,
}
# A usual tool's nose radius, mm (common practice, no source).
USUAL_NOSE = 0.2
STOCK_CLASSES = {"6g", "6H", "2A", "2B"}
_FORM = (Kind.RUNOUT, Kind.FACE_RUNOUT, Kind.CYLINDRICITY)
_SIZES = (Kind.DIAMETER, Kind.LENGTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What is counted of one mandrel; fields as in :data:`WEIGHTS`."""

    operations: int
    set_ups: int
    tools: int
    special_gauges: int
    finer_than_it8: int
    balloons: int

    @property
    def cost(self) -> float:
        """Weighted sum, minutes."""
        return sum(w * getattr(self, name) for name, w in WEIGHTS.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One mandrel: its counts and its joint. ``mismatch``: radial, tightened, 95 %, mm (None:
    nothing judged); ``flush``: the two parts are meant to be flush; ``met``: as the verdict says
    (None: not flush); ``unneeded``: counted special gauges that judge nothing."""

    id: str
    counts: Counts
    cost: float
    mismatch: float | None
    flush: bool
    met: bool | None
    unneeded: int = 0

    @property
    def without(self) -> float:
        """The cost without gauges that judge nothing, minutes."""
        return self.cost - self.unneeded * WEIGHTS["special_gauges"]


def counts(m: Mandrel) -> Counts:
    """The proxy's counts of a mandrel."""
    steps = order_of_work(m)
    settings = {s.setting for s in steps if s.setting}
    milled = 1 if m.flats else 0
    return Counts(
        operations=len(steps),
        set_ups=len(settings) + milled,
        tools=len(tools(m)),
        special_gauges=sum(1 for t in m.threads if special(t.limits.designation.starts,
                                                           t.limits.tolerance_class)),
        finer_than_it8=sum(1 for c in m.characteristics if finer(c, m)),
        # One callout, one balloon: a chamfer's length and angle count once. Before there was one
        # for each characteristic.
        balloons=len(set(numbered(m).values())),
    )  # fmt: skip


def special(starts: int, klass: str) -> bool:
    """No shop has a gauge for it: a class beside the usual one, or several starts."""
    return starts > 1 or klass not in STOCK_CLASSES


def _unneeded(m: Mandrel) -> int:
    """Special gauges that judge nothing."""
    return sum(
        special(t.limits.designation.starts, t.limits.tolerance_class)
        and (t.order == "blank" or rule_of(t, m).judge != LIMITS)
        for t in m.threads
    )


def tools(m: Mandrel) -> set[str]:
    """The tools on the bench: a groove of another width is another setting of the same tool."""
    outside = {s.feature.kind for s in m.outer}
    inside = {s.feature.kind for s in m.inner}
    found = {"turning tool", "parting tool"}
    found |= {"centre drill"} if m.centre_holes else set()
    grooved = {FeatureKind.RELIEF, FeatureKind.RUN_IN, FeatureKind.UNDERCUT, FeatureKind.NECK}
    found |= {f"grooving tool, {k.value}" for k in outside & grooved}
    found |= {"drill"} if inside & {FeatureKind.PILOT, FeatureKind.BORE} else set()
    found |= {"boring bar"} if FeatureKind.COUNTERBORE in inside else set()
    found |= {"internal grooving tool"} if FeatureKind.RELIEF in inside else set()
    for t in m.threads:
        if t.order != "blank":
            found.add(f"{'external' if t.limits.external else 'internal'} threading tool")
    found |= {"end mill"} if m.flats else set()
    # A nose of 0.1 at the seat of a plug is not the one that turns the rest.
    corner = next((s.corner[1] for s in m.outer if s.corner is not None), 0.1)
    behind = any(s.z1 > 1e-6 for s in m.outer)
    sharp = FeatureKind.COLLAR in outside and behind and corner < USUAL_NOSE
    return found | ({"sharp-nosed tool"} if sharp else set())


def finer(c: Characteristic, m: Mandrel) -> bool:
    """Asked closer than IT8 of its diameter (a form or run-out: its value against IT8 of the
    feature's), or smoother than Ra 1.6. A thread's own limits are counted by its gauge."""
    if c.kind is Kind.ROUGHNESS:
        return (c.upper or 0.0) < 1.6 - 1e-9
    if c.kind not in (*_SIZES, *_FORM) or c.upper is None:
        return False
    if c.kind in _FORM:
        size, width = _diameter(c, m), c.upper
    elif c.lower is None:
        return False
    else:
        size, width = c.nominal, c.upper - c.lower
    try:
        return width < iso_286.grade(size, 8) - 1e-9
    except (NotHeldError, ValueError):
        return False


def _diameter(c: Characteristic, m: Mandrel) -> float:
    found = {x.id: x.nominal for x in m.characteristics if x.kind is Kind.DIAMETER}
    own = found.get(f"{c.feature}.diameter")
    return own or found.get("collar.diameter") or max(found.values(), default=10.0)


def row(name: str, d: Designed) -> Row | None:
    """The row of a designed mandrel; None if it failed."""
    if d.mandrel is None:
        return None
    found = counts(d.mandrel)
    step = d.verdict.truth.step if d.verdict else None
    outcome = step.outcome if step is not None else None
    return Row(
        id=name,
        counts=found,
        cost=found.cost,
        mismatch=None if step is None else round(step.states.tight.statistical, 4),
        flush=outcome is not None,
        met=None if outcome is None else outcome is Outcome.MET,
        unneeded=_unneeded(d.mandrel),
    )


def cases() -> list[tuple[str, Pen, Shop]]:
    """Every starter, then the kept random pens: name, pen, shop."""
    from tests.support.randompens import SHOP

    found = []
    for name, shop_name in STARTERS.items():
        pen = read_pen(starter("pen", name), name)
        shop = read_shop(starter("shop", shop_name), shop_name)
        found.append((name, pen, effective_shop(shop, pen)))
    for n, tree in enumerate(json.loads(PENS.read_text("utf-8"))):
        # The default's business, like fit and flats: when the table was kept, leaving it out was
        # to have it screwcut.
        if tree["mandrels"]["defaults"].get("thread_order") == "single-point":
            del tree["mandrels"]["defaults"]["thread_order"]
        found.append((f"random-{n:03d}", Pen.model_validate(tree), SHOP))
    return found


def table() -> list[Row]:
    """All rows."""
    out = []
    for name, pen, shop in cases():
        for d in designs(pen, shop):
            own = f"{name}/{d.planned.id}" if name in STARTERS else name
            found = row(own, d)
            if found is not None:
                out.append(found)
    return out


def draw_pens() -> list[Any]:
    """Random pens of one mandrel each, as ``randompens`` builds them, without wishes that are the
    default's business (fit, flats, centre holes); only those that can be designed."""
    from hypothesis import HealthCheck, Phase, given, seed, settings

    from tests.support.randompens import SHOP, trees

    kept: list[Any] = []

    @seed(SEED)
    @settings(max_examples=1000, database=None, deadline=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(trees())
    def collect(tree: dict[str, Any]) -> None:
        if len(kept) >= RANDOM:
            return
        for name in ("fit", "flats", "centre_holes"):
            tree["mandrels"]["defaults"].pop(name, None)
        if tree["mandrels"]["requests"][0].get("kind") == "tailstock-button" or tree in kept:
            return
        done = designs(Pen.model_validate(tree), SHOP)
        if all(d.mandrel is not None for d in done):
            kept.append(tree)

    collect()
    return kept


def loaded(path: Path) -> dict[str, Row]:
    """A kept table by id. Blanks and the customer's own tools were judged without a gauge when the
    first was kept, too."""
    names = {f.name for f in fields(Row)} - {"counts"}
    orders = {
        f"random-{n:03d}": tree["mandrels"]["defaults"].get("thread_order")
        for n, tree in enumerate(json.loads(PENS.read_text("utf-8")))
    }
    rows = {}
    for r in json.loads(path.read_text("utf-8"))["rows"]:
        if "unneeded" not in r:
            free = orders.get(r["id"]) in ("blank", "my-tool")
            r["unneeded"] = r["counts"]["special_gauges"] if free else 0
        rows[r["id"]] = Row(counts=Counts(**r["counts"]), **{k: r[k] for k in names})
    return rows


def report(before: dict[str, Row], now: list[Row]) -> list[str]:
    """The table and its sums, old → new, as lines of text."""
    head = (
        "mandrel                          ops set-ups tools gauges <IT8 balloons   cost  "
        "(without gauges that judge nothing)  mismatch"
    )
    lines = ["weights, minutes each: " + ", ".join(f"{k} {v:g}" for k, v in WEIGHTS.items()), head]
    mine = {r.id: r for r in now}
    for name in [*before, *(n for n in mine if n not in before)]:
        old, new = before.get(name), mine.get(name)
        if not name.startswith("random"):
            lines.append(f"{name:32} " + _cells(old, new))
    for label, chosen in _groups(mine):
        both = [(before[n], mine[n]) for n in chosen if n in before]
        lines.append(f"{label:32} " + _sums(both))
    gone = [n for n in before if n not in mine]
    lines.append(f"no longer designed: {', '.join(gone) or 'none'}")
    lost = [n for n in mine if n in before and before[n].flush and before[n].met
            and not mine[n].met]  # fmt: skip
    lines.append(f"flush joints from met to not met: {', '.join(lost) or 'none'}")
    worse = {n: (r.mismatch or 0) - (before[n].mismatch or 0) for n, r in mine.items()
             if n in before and r.mismatch is not None}  # fmt: skip
    most = max(worse, key=lambda n: worse[n], default="")
    if most:
        lines.append(f"largest gain of mismatch: {worse[most]:+.4f} ({most})")
    return lines


def _groups(mine: dict[str, Row]) -> list[tuple[str, list[str]]]:
    random = [n for n in mine if n.startswith("random")]
    starters = [n for n in mine if n not in random]
    return [("starters, mean", starters), (f"{len(random)} random, mean", random)]


def _cells(old: Row | None, new: Row | None) -> str:
    def one(get: Any, form: str) -> str:
        a, b = (format(get(r), form) if r is not None else "-" for r in (old, new))
        return a if a == b else f"{a}→{b}"

    counted = [one(lambda r, k=k: getattr(r.counts, k), "d") for k in WEIGHTS]
    cost = one(lambda r: r.cost, ".0f")
    return "  ".join([*counted, cost, one(lambda r: r.mismatch or 0.0, ".3f")])


def _sums(both: list[tuple[Row, Row]]) -> str:
    if not both:
        return "-"
    n = len(both)
    cells = []
    for k in WEIGHTS:
        a, b = (sum(getattr(pair[i].counts, k) for pair in both) / n for i in (0, 1))
        cells.append(f"{a:.1f}→{b:.1f}")
    a, b = (sum(pair[i].cost for pair in both) / n for i in (0, 1))
    c, d = (sum(pair[i].without for pair in both) / n for i in (0, 1))
    m, w = (sum(pair[i].mismatch or 0 for pair in both) / n for i in (0, 1))
    return "  ".join(
        [
            *cells,
            f"{a:.0f}→{b:.0f} ({b / a - 1:+.1%})",
            f"{c:.0f}→{d:.0f} ({d / c - 1:+.1%})",
            f"{m:.4f}→{w:.4f}",
        ]
    )


def main() -> None:
    """The command."""
    args = argparse.ArgumentParser(description=__doc__)
    args.add_argument("--save", type=Path, help="keep the table in this file")
    args.add_argument("--pens", action="store_true", help="redraw the random pens")
    args.add_argument("--before", type=Path, default=BEFORE)
    said = args.parse_args()
    if said.pens:
        text = ",\n".join(json.dumps(t, separators=(",", ":")) for t in draw_pens())
        PENS.write_text(f"[\n{text}\n]\n", "utf-8")
    now = table()
    if said.save:
        text = ",\n".join(json.dumps(asdict(r)) for r in now)
        head = json.dumps({"weights": WEIGHTS})[:-1]
        said.save.write_text(f'{head}, "rows": [\n{text}\n]}}\n', "utf-8")
    before = loaded(said.before) if said.before.exists() else {r.id: r for r in now}
    print("\n".join(report(before, now)))


if __name__ == "__main__":
    main()
