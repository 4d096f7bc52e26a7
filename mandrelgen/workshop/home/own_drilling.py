"""A cup's inside as a drill and a tap make it: no relief, but room for the tap's lead. mm."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to
from mandrelgen.design.cup_bottom import CHIPS, DRILL_TIP, STEP
from mandrelgen.mechanics.remedy import sold_drill
from mandrelgen.model.feature import Feature, FeatureKind
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData
from mandrelgen.spec.shop import ThreadTool
from mandrelgen.standards import cutting


@dataclass(frozen=True, slots=True)
class Hole:
    """``drill`` ⌀ and how ``deep`` its full diameter goes; ``full``: how deep the thread is full at
    least; ``lead``: what the tap leaves below it, ``lead_known`` if the shop file says so; ``tap``:
    how deep its point goes; ``through``: ⌀ of a hole right through (0: none); ``drawn``: the
    mandrel with that hole."""

    drill: float
    deep: float
    full: float
    lead: float
    lead_known: bool
    through: float
    drawn: Mandrel

    @property
    def tip(self) -> float:
        """How deep the drill's point comes, mm."""
        return self.deep + self.drill / 2 / DRILL_TIP

    @property
    def tap(self) -> float:
        """How deep the tap's point goes at least, from the face."""
        return self.full + self.lead


def hole(m: Mandrel, t: ThreadData, tool: ThreadTool | None) -> Hole:
    """The hole of a cup whose thread is tapped.

    The thread is full down to the floor of the drawing, or as deep as it asks, where the tenon's
    end never reaches; below it the tap's lead and the chips find room.
    """
    band, d = t.limits.minor, t.limits.designation
    crest = t.form.crest_diameter
    wanted = float(d.diameter - d.pitch)
    drill = sold_drill(wanted, band.min or crest, band.max or crest)
    ends = (t.feature.size("depth"), t.feature.beside(FeatureKind.FLOOR).size("depth"))
    floor = next((c for c in m.characteristics if c.id in ends), None)
    known = tool is not None and tool.lead is not None
    lead = float(tool.lead) if tool is not None and tool.lead is not None else (
        cutting.rule("tool", "tap_c_lead").value * t.form.pitch
    )  # fmt: skip
    # A blank for a tap has no depth of thread on its drawing, but the design has.
    full = abs(m.stations.get("thread.full", 0.0))
    if floor is not None:
        full = floor.lower if floor.lower is not None else floor.nominal
    drawn = next((c.nominal for c in m.characteristics if c.id == "pilot.depth"), 0.0)
    # A drawing of a tapped hole says how deep it is; else a tap needs more than a groove.
    tapped = floor is None or floor.id == ends[0]
    deep = drawn if tapped else ceil_to(full + lead + CHIPS, STEP)
    through = next((s.d0 for s in m.inner if s.feature.kind is FeatureKind.BORE), 0.0)
    return Hole(
        drill=drill,
        deep=deep,
        full=full,
        lead=lead,
        lead_known=known,
        through=through,
        drawn=_drawn(m, t, drill, deep, full, through),
    )


def _drawn(
    m: Mandrel, t: ThreadData, drill: float, deep: float, full: float, through: float
) -> Mandrel:
    """The mandrel with the drilled and tapped hole instead of the drawing's."""
    start = next(s.z1 for s in m.inner if s.feature == t.feature)
    form = replace(t.form, crest_diameter=drill)
    mouth = [s for s in m.inner if s.z0 >= start - 1e-9]
    mouth = [replace(s, d0=drill) if abs(s.z0 - start) < 1e-9 else s for s in mouth]
    pilot, point = Feature.of(FeatureKind.PILOT), Feature.of(FeatureKind.PILOT, detail="point")
    bottom = (
        Stretch(
            feature=Feature.of(FeatureKind.BORE), z0=m.outer[0].z0, z1=-deep, d0=through, d1=through
        )
        if through
        else Stretch(feature=point, z0=-deep - drill / 2 / DRILL_TIP, z1=-deep, d0=0.0, d1=drill)
    )
    inner = (
        bottom,
        Stretch(feature=pilot, z0=-deep, z1=-full, d0=drill, d1=drill),
        Stretch(feature=t.feature, z0=-full, z1=start, d0=drill, d1=drill, thread=form),
        *mouth,
    )
    return replace(m, inner=inner)
