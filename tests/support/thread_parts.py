"""Threaded parts for the tests of solid, mesh and their writers.

Basic sizes by ISO 68-1:1998 / ISO 724:1993: H = √3/2·P, d2 = d − 3/4·H, d1 = d − 5/4·H. They are
moved by a few hundredths, as mid-limit sizes would be.
"""

from __future__ import annotations

import math

from hypothesis import strategies as st

from mandrelgen.model.half_section import Profile, chain
from mandrelgen.model.mandrel import Flats, Stretch, ThreadForm


def form(d: float, pitch: float, starts: int, left: bool, external: bool) -> ThreadForm:
    """An ISO 68-1 thread with a little allowance."""
    h = math.sqrt(3) / 2 * pitch
    d2, d1, gap = d - 0.75 * h, d - 1.25 * h, 0.03 * pitch
    if external:
        return ThreadForm(
            external=True,
            starts=starts,
            pitch=pitch,
            left_hand=left,
            crest_diameter=d - gap,
            pitch_diameter=d2 - gap,
            root_diameter=d1 - 2 * gap,
        )
    return ThreadForm(
        external=False,
        starts=starts,
        pitch=pitch,
        left_hand=left,
        crest_diameter=d1 + gap,
        pitch_diameter=d2 + gap,
        root_diameter=d + 2 * gap,
    )


def plug(
    d: float = 11.0,
    pitch: float = 0.8,
    starts: int = 1,
    left: bool = False,
    length: float = 6.0,
    angles: tuple[float, float] = (30.0, 45.0),
    margin: float = 0.1,
    flats: Flats | None = None,
) -> Profile:
    """Shank, collar, relief, thread between end faces of ``angles`` to the axis (90: planes),
    spigot with a 60° centre hole."""
    f = form(d, pitch, starts, left, True)
    crest, low = f.crest_diameter, f.root_diameter - 2 * margin
    drop = (crest - low) / 2
    rear, front = (drop / math.tan(math.radians(a)) if a < 90 else 0.0 for a in angles)
    z1 = 2.0 + rear
    z2 = z1 + length
    z3 = z2 + front
    outer = [
        Stretch(feature="shank", z0=-30.0, z1=-5.0, d0=d, d1=d),
        Stretch(feature="collar", z0=-5.0, z1=0.0, d0=d + 4, d1=d + 4),
        Stretch(feature="relief", z0=0.0, z1=2.0, d0=low, d1=low),
        Stretch(feature="flank", z0=2.0, z1=z1, d0=low, d1=crest),
        Stretch(feature="thread", z0=z1, z1=z2, d0=crest, d1=crest, thread=f),
        Stretch(feature="chamfer", z0=z2, z1=z3, d0=crest, d1=low),
        Stretch(feature="spigot", z0=z3, z1=z3 + 4, d0=low, d1=low),
    ]
    mouth = low / 3
    deep = mouth / 2 / math.tan(math.radians(30))
    inner = [Stretch(feature="centre", z0=z3 + 4 - deep, z1=z3 + 4, d0=0.0, d1=mouth)]
    return chain(tuple(s for s in outer if s.z1 > s.z0), tuple(inner), flats)


def cup(
    d: float = 11.0,
    pitch: float = 0.8,
    starts: int = 1,
    left: bool = False,
    length: float = 6.0,
    angles: tuple[float, float] = (30.0, 45.0),
    margin: float = 0.1,
    through: bool = False,
    rear_thread: ThreadForm | None = None,
) -> Profile:
    """A bore with a relief, a thread and a countersink; blind with a drill tip, or through. With
    ``rear_thread``: double-ended, that external thread at the other end."""
    f = form(d, pitch, starts, left, False)
    crest, high = f.crest_diameter, f.root_diameter + 2 * margin
    rise = (high - crest) / 2
    rear, front = (rise / math.tan(math.radians(a)) if a < 90 else 0.0 for a in angles)
    z1 = 1.0 + rear
    z2 = z1 + length
    z3 = z2 + front
    bore = crest - 0.8
    inner = [
        Stretch(feature="relief", z0=0.0, z1=1.0, d0=high, d1=high),
        Stretch(feature="rear cone", z0=1.0, z1=z1, d0=high, d1=crest),
        Stretch(feature="thread", z0=z1, z1=z2, d0=crest, d1=crest, thread=f),
        Stretch(feature="countersink", z0=z2, z1=z3, d0=crest, d1=high),
    ]
    body = d + 5
    outer = [Stretch(feature="body", z0=-8.0, z1=z3, d0=body, d1=body)]
    z_rear = -8.0
    if rear_thread is not None:
        major, low = rear_thread.crest_diameter, rear_thread.root_diameter - 0.3
        slope = (major - low) / 2
        outer = [
            Stretch(feature="rear chamfer", z0=-20.0, z1=-20.0 + slope, d0=low, d1=major),
            Stretch(
                feature="rear thread",
                z0=-20.0 + slope,
                z1=-12.0,
                d0=major,
                d1=major,
                thread=rear_thread,
            ),
            Stretch(feature="rear relief", z0=-12.0, z1=-8.0, d0=low, d1=low),
            *outer,
        ]
        z_rear = -20.0
    if through:
        inner.insert(0, Stretch(feature="bore", z0=z_rear, z1=0.0, d0=bore, d1=bore))
    else:
        inner.insert(0, Stretch(feature="bore", z0=-1.0, z1=0.0, d0=bore, d1=bore))
        inner.insert(
            0, Stretch(feature="tip", z0=-1.0 - bore / 2 / math.sqrt(3), z1=-1.0, d0=0.0, d1=bore)
        )
    return chain(tuple(outer), tuple(s for s in inner if s.z1 > s.z0))


@st.composite
def parts(draw: st.DrawFn) -> Profile:
    """Plugs and cups: d 4–30, P 0.35–1.5, 1–6 starts, both hands, end faces of 20–90°."""
    pitch = draw(st.floats(0.35, 1.5))
    end_face = st.one_of(st.floats(20, 80), st.just(90.0), st.just(60.0))
    common = {
        "d": draw(st.floats(max(4.0, 5 * pitch), 30)),
        "pitch": pitch,
        "starts": draw(st.integers(1, 6)),
        "left": draw(st.booleans()),
        "length": draw(st.floats(0.1, 8)),
        "angles": (draw(end_face), draw(end_face)),
        "margin": draw(st.floats(0.1, 0.4)),
    }
    if draw(st.booleans()):
        return plug(**common)
    rear = None
    if draw(st.booleans()):
        rear = form(
            common["d"] + 4,
            draw(st.floats(0.35, 1.5)),
            draw(st.integers(1, 6)),
            draw(st.booleans()),
            True,
        )
    return cup(**common, through=draw(st.booleans()), rear_thread=rear)


@st.composite
def flatted(draw: st.DrawFn) -> Profile:
    """Up to five cylinders, some bored, with flats; on a grid of 0.5 mm, so that flats often end
    at a step or at an end, and planes touch circles."""
    radii = draw(st.lists(st.integers(6, 12), min_size=1, max_size=5))
    lengths = draw(st.lists(st.integers(1, 6), min_size=5, max_size=5))
    outer, z = [], 0.0
    for i, (r, length) in enumerate(zip(radii, lengths, strict=False)):
        if not (outer and outer[-1].d0 == r):
            outer.append(
                Stretch(feature=f"s{i}", z0=z, z1=z + length / 2, d0=float(r), d1=float(r))
            )
            z = outer[-1].z1
    bore = draw(st.sampled_from([0.0, 3.0]))
    deep = draw(st.sampled_from([0.5, z / 2, z]))
    inner = [Stretch(feature="bore", z0=z - deep, z1=z, d0=bore, d1=bore)] if bore else []
    z0, length = draw(st.integers(-1, int(2 * z) - 1)), draw(st.integers(1, 30))
    flats = Flats(z0 / 2, (z0 + length) / 2, draw(st.integers(8, 23)) / 2)
    return chain(tuple(outer), tuple(inner), flats)


# On ``plug(11)``: a collar of 15 from -5 to 0 behind a relief, and a shank of 11 before it.
FLATS = [
    Flats(-4, 0, 13), Flats(-5, -1, 13.5), Flats(-30, -22, 9), Flats(-7, -3, 9.5),
    Flats(-5, 0, 13), Flats(-4, -1, 13), Flats(-20, -15, 8), Flats(-5, 0, 10),
    Flats(-5, 0, 11),  # the planes touch the shank's circle
    Flats(-40, 20, 14.9),  # everywhere but in slimmer stretches
    Flats(-5, 0, 15), Flats(-3, 0, 20),  # nothing to cut
]  # fmt: skip

GRID = [
    plug(4, 0.35, 1),
    plug(6.5, 0.5, 1, left=True),
    plug(9, 0.75, 2),
    plug(12, 0.8, 3),
    plug(30, 1.5, 6, left=True),
    plug(10, 1.0, 4, angles=(90, 90)),
    plug(8, 0.6, 1, angles=(20, 60)),
    plug(9, 0.75, 1, length=0.1),
    cup(5, 0.35, 1),
    cup(9, 0.75, 2, left=True),
    cup(12, 0.8, 3, through=True),
    cup(30, 1.5, 6),
    cup(10, 1.0, 5, angles=(90, 90), through=True),
    cup(12, 0.8, 3, rear_thread=form(15, 1.0, 1, True, True)),
    cup(12, 0.8, 1, left=True, through=True, rear_thread=form(15, 0.75, 2, False, True)),
]
