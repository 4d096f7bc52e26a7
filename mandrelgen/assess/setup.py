"""One end of a mandrel with the part on it: everything the judging needs, gathered once."""

from __future__ import annotations

from dataclasses import field, replace

from mandrelgen.assess import lathe_measured
from mandrelgen.assess.loads import Loads
from mandrelgen.assess.part_shape import PartShape, shape
from mandrelgen.core.frozen import dataclass
from mandrelgen.design import ends, shank
from mandrelgen.design.ends import Hole, TappedEnd, TenonEnd
from mandrelgen.design.options import Wishes
from mandrelgen.design.plan import Hold
from mandrelgen.mechanics.holding import Surface
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.feature import Feature, MandrelEnd, from_the_second
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData, collar_diameter, shank_front
from mandrelgen.spec.pen import End, Manner, Part, Pen
from mandrelgen.spec.shop import Lathe, Shop
from mandrelgen.standards.threads import ThreadLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class Situated:
    """A part on one end of a mandrel; z = 0 at that end's seat. ``collet_face``: z of the collet's
    face (None: a button); ``outer_thread``: of the held end, if it has one."""

    mandrel: Mandrel
    hold: Hold
    part: Part
    end: End
    wishes: Wishes
    grip: shank.Grip | None
    loads: Loads
    tapped: TappedEnd | None
    tenon: TenonEnd | None
    thread: ThreadData | None
    holes: tuple[Hole, ...]
    shape: PartShape
    collet_face: float | None
    said: tuple[str, ...]
    outer_thread: ThreadLimits | None = None
    lathe: Lathe = field(default_factory=Lathe)

    def size(self, id: str) -> Characteristic | None:
        """A characteristic of the mandrel, None if it has none of that id."""
        return next((c for c in self.mandrel.characteristics if c.id == id), None)

    @property
    def collar(self) -> Characteristic | None:
        """The diameter the seat ends at: the collar's, or the shank's whose bar a cup's body is."""
        return collar_diameter(self.mandrel)

    def upper(self, id: str) -> float | None:
        """Upper limit of a characteristic, mm."""
        c = self.size(id)
        return None if c is None else c.upper

    def lower(self, id: str) -> float | None:
        """Lower limit of a characteristic, mm."""
        c = self.size(id)
        return None if c is None else c.lower

    def stretch(self, feature: str) -> Stretch | None:
        """The stretch of that name, outside before inside."""
        row = (*self.mandrel.outer, *self.mandrel.inner)
        return next((s for s in row if s.feature == feature), None)

    @property
    def cut(self) -> Manner | None:
        """How the part's held thread was cut."""
        spec = {"internal": self.end.internal, "external": self.end.external}.get(self.hold.by)
        return spec.made if spec is not None else None

    @property
    def follow(self) -> Surface:
        """Whose axis counts: the part's thread, or its bore where there is none."""
        return Surface.BORE if self.hold.by == "bore" else Surface.THREAD


def situate(
    m: Mandrel,
    pen: Pen,
    shop: Shop,
    hold: Hold,
    wishes: Wishes,
    grip: shank.Grip | None,
    use: Loads,
) -> Situated:
    """Gather; ``m`` must have its seat for ``hold`` at z = 0 (see :func:`turned_round`)."""
    part = pen.parts[hold.part]
    end = part.ends[hold.end]
    washer = wishes.soft_washer
    tapped = ends.tapped_end(part, end, shop) if hold.by == "internal" else None
    tenon = ends.tenon_end(end, shop) if hold.by == "external" else None
    holes = tapped.holes if tapped else ends.plain_holes(part, end, shop)[0]
    thread = next((t for t in m.threads if t.feature == "thread"), None)
    said = list(use.said)
    face = None
    if grip is not None:
        front = shank_front(m) or 0.0
        face = front - shank.free_length(grip, wishes, front)
        said += lathe_measured.collet_said(grip, shop.lathe)
    return Situated(
        mandrel=m,
        hold=hold,
        part=part,
        end=end,
        wishes=wishes,
        grip=grip,
        loads=use,
        tapped=tapped,
        tenon=tenon,
        thread=thread,
        holes=holes,
        shape=shape(part, hold.end, hold.by, washer, shop),
        collet_face=face,
        said=tuple(said),
        outer_thread=ends.part_thread(end.external, external=True, shop=shop)[0]
        if end.external is not None
        else None,
        lathe=shop.lathe,
    )


def turned_round(m: Mandrel) -> Mandrel:
    """A double-ended mandrel seen from its other end: that end's seat at z = 0, its names bare."""
    shift = m.stations[MandrelEnd.SECOND.named("seat")]
    name = from_the_second

    def flip(row: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        return tuple(
            replace(
                s,
                feature=s.feature if s.feature == "shank" else Feature(name(s.feature)),
                z0=shift - s.z1, z1=shift - s.z0, d0=s.d1, d1=s.d0,
            )
            for s in reversed(row)
        )  # fmt: skip

    return replace(
        m,
        outer=flip(m.outer),
        inner=flip(m.inner),
        stations={name(k): shift - z for k, z in m.stations.items()},
        characteristics=tuple(
            replace(c, id=name(c.id), feature=Feature(name(c.feature))) for c in m.characteristics
        ),
        threads=tuple(replace(t, feature=Feature(name(t.feature))) for t in m.threads),
        flats=None,
    )
