"""Mandrels for the drawing's tests: an invented pen, sizes chosen to exercise the layout."""

from __future__ import annotations

import math

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import (
    CentreHole,
    Flats,
    HeldPart,
    Issue,
    Mandrel,
    MandrelKind,
    Stretch,
)
from tests.support.sheet_builder import Builder

ISSUE = Issue(
    number="TM-0042",
    revision="B",
    date="2026-03-14",
    status="released",
    owner="Heronsgate Pens",
    drawn_by="E. Marlow",
    approved_by="T. Quill",
    history=(("A", "2026-01-10", "First issue"), ("B", "2026-03-14", "Spigot 0.01 smaller")),
)


def centre_hole(b: Builder, at: str, d: float, mouth: float) -> CentreHole:
    """A type A hole as inner stretches at one end."""
    cone = (mouth - d) / 2 * math.sqrt(3)
    pilot, tip = cone + 0.6 * d, cone + 0.6 * d + d / 2 / math.tan(math.radians(60))
    z = b.outer[0].z0 if at == "rear" else b.outer[-1].z1
    s = 1.0 if at == "rear" else -1.0
    for name, a, e, da, de in (
        (f"centre.{at}.cone", 0.0, cone, mouth, d),
        (f"centre.{at}.pilot", cone, pilot, d, d),
        (f"centre.{at}.tip", pilot, tip, d, 0.0),
    ):
        if s > 0:
            b.inner.append(Stretch(feature=name, z0=z + a, z1=z + e, d0=da, d1=de))
        else:
            b.inner.append(Stretch(feature=name, z0=z - e, z1=z - a, d0=de, d1=da))
    return CentreHole(
        at=at, type="A", d=d, mouth=mouth, keep="required" if at == "rear" else "may remain"
    )


def plug(
    text: str = "M9x0.75",
    shank_d: float = 12.0,
    shank_l: float = 40.0,
    neck: float = 6.0,
    collar_l: float = 2.0,
    relief_w: float = 1.7,
    thread_l: float = 6.0,
    runin: float = 2.0,
    spigot_l: float = 16.0,
    with_flats: bool = True,
) -> Mandrel:
    """A plug mandrel with everything on it."""
    b = Builder()
    form = b.thread("thread", text, True)
    d = form.crest_diameter
    root = form.root_diameter
    relief, groove = round(root - 0.3, 2), round(root - 0.25, 2)
    spigot = round(root - 0.1, 2)
    collar, neck_d = round(d + 2.2, 2), round(d + 1.2, 2)
    z = -collar_l - neck - shank_l
    b.cyl("shank.chamfer", z, z + 0.5, shank_d - 1, shank_d)
    b.cyl("shank", z + 0.5, z + shank_l, shank_d)
    b.cyl("neck", z + shank_l, -collar_l, neck_d)
    b.cyl("collar", -collar_l, 0.0, collar)
    b.cyl("relief", 0.0, relief_w, relief)
    cone = (d - relief) / 2
    b.cyl("relief.flank", relief_w, relief_w + cone, relief, d)
    t0, t1 = relief_w + cone, relief_w + cone + thread_l
    b.outer.append(Stretch(feature="thread", z0=t0, z1=t1, d0=d, d1=d, thread=form))
    ch = (d - groove) / 2
    b.cyl("chamfer", t1, t1 + ch, d, groove)
    b.cyl("runin", t1 + ch, t1 + ch + runin, groove)
    s0 = t1 + ch + runin
    b.cyl("spigot1", s0, s0 + spigot_l - 0.5, spigot)
    b.cyl("nose", s0 + spigot_l - 0.5, s0 + spigot_l, spigot, spigot - 1)
    b.stations = {
        "rear": z, "shank.end": z + shank_l, "collar.start": -collar_l, "seat": 0.0,
        "relief.end": relief_w, "thread.end": t1, "thread.chamfer": t1 + ch, "runin.end": s0,
        "spigot1.end": s0 + spigot_l - 0.5, "nose": s0 + spigot_l, "flats.start": z + shank_l - 9.0,
    }  # fmt: skip
    _plug_sizes(b)
    flats = _flats(b, shank_d) if with_flats else None
    holes = (centre_hole(b, "rear", 1.6, 3.35), centre_hole(b, "nose", 1.0, 2.12))
    held = (HeldPart("cap", ((0.0, 4.3), (0.0, 6.4), (45.0, 6.4), (50.0, 5.0), (50.0, 0.0),
                             (46.0, 0.0), (46.0, 3.9), (9.0, 3.9), (9.0, 4.3))),)  # fmt: skip
    return b.done(
        MandrelKind.PLUG, "Plug mandrel for cap mouth", flats=flats, centre_holes=holes, held=held
    )


def _plug_sizes(b: Builder) -> None:
    """Sizes, geometrical needs and roughness of a plug, of the stretches it is turned of."""
    d = {s.feature: s.d0 for s in b.outer}
    b.diameter("shank.diameter", "shank", d["shank"], -0.027, 0.0, "h8")
    b.length("shank.length", "rear", "shank.end")
    b.diameter("neck.diameter", "neck", d["neck"], -0.2, 0.2)
    b.length("neck.length", "shank.end", "collar.start")
    b.diameter("collar.diameter", "collar", d["collar"], -0.2, 0.2)
    b.length("collar.length", "collar.start", "seat")
    b.diameter("relief.diameter", "relief", d["relief"], -0.1, 0.0, "limits")
    b.length("relief.width", "seat", "relief.end", 0.1)
    b.length("thread.end", "seat", "thread.end", 0.05)
    b.length("chamfer.length", "thread.end", "thread.chamfer", kind=Kind.CHAMFER)
    b.diameter("runin.diameter", "runin", d["runin"], -0.1, 0.0, "limits")
    b.length("runin.end", "seat", "runin.end")
    b.diameter("spigot1.diameter", "spigot1", d["spigot1"], -0.022, 0.0, "h8")
    b.length("spigot1.end", "seat", "spigot1.end")
    b.length("nose.end", "seat", "nose")
    b.geometric("seat.runout", Kind.FACE_RUNOUT, "collar", 0.01, "A")
    b.geometric("spigot1.runout", Kind.RUNOUT, "spigot1", 0.01, "A")
    b.geometric("shank.cylindricity", Kind.CYLINDRICITY, "shank", 0.005)
    b.rough("shank.roughness", "shank", 0.8)


def _flats(b: Builder, d: float) -> Flats:
    """Flats at the end of a shank of diameter ``d``, with their sizes."""
    start, end = b.stations["flats.start"], b.stations["shank.end"]
    b.cs.append(
        Characteristic(
            id="flats.across",
            feature="flats",
            kind=Kind.ACROSS_FLATS,
            nominal=d - 2,
            lower=d - 2.1,
            upper=d - 2,
            written="h11",
        )
    )
    b.length("flats.length", "flats.start", "shank.end")
    return Flats(start, end, d - 2)


def thin_plug() -> Mandrel:
    """A plug whose view is long and low: it wants 5:1 on A3, and a second sheet for the rest."""
    return plug("M6x0.5", 6.0, 38.0, 5.0, 1.5, 1.0, 5.0, 1.2, 5.0, False)


def cup(text: str = "M9x0.75", bore: float = 7.0, wall: float = 2.2) -> Mandrel:
    """A cup mandrel bored through."""
    b = Builder()
    form = b.thread("thread", text, False)
    d, root = form.crest_diameter, form.root_diameter
    body = round(root + 2 * wall, 1)
    counter, relief = round(root + 0.4, 2), round(root + 0.5, 2)
    b.cyl("shank.chamfer", -62.0, -61.5, 11.0, 12.0)
    b.cyl("shank", -61.5, -22.0, 12.0)
    b.cyl("body", -22.0, 0.0, body)
    c = (counter - d) / 2
    cr = (relief - d) / 2
    inner = [
        Stretch(feature="bore", z0=-62.0, z1=-11.0, d0=bore, d1=bore),
        Stretch(feature="relief", z0=-11.0, z1=-9.0, d0=relief, d1=relief),
        Stretch(feature="relief.flank", z0=-9.0, z1=-9.0 + cr, d0=relief, d1=d),
        Stretch(feature="thread", z0=-9.0 + cr, z1=-1.5 - c, d0=d, d1=d, thread=form),
        Stretch(feature="entry", z0=-1.5 - c, z1=-1.5, d0=d, d1=counter),
        Stretch(feature="counterbore", z0=-1.5, z1=0.0, d0=counter, d1=counter),
    ]
    b.inner = inner
    b.stations = {"rear": -62.0, "shank.end": -22.0, "seat": 0.0, "counterbore.end": -1.5,
                  "relief.start": -11.0, "relief.end": -9.0, "thread.end": -9.0 + cr}  # fmt: skip
    b.diameter("shank.diameter", "shank", 12.0, -0.027, 0.0, "h8")
    b.length("shank.length", "rear", "shank.end")
    b.diameter("body.diameter", "body", body, -0.2, 0.2)
    b.diameter("counterbore.diameter", "counterbore", counter, 0.0, 0.05, "limits")
    b.length("counterbore.depth", "counterbore.end", "seat", 0.05)
    b.length("thread.end", "thread.end", "seat", 0.1)
    b.diameter("relief.diameter", "relief", relief, 0.0, 0.1, "limits")
    b.length("relief.width", "relief.start", "relief.end")
    b.length("relief.depth", "relief.start", "seat")
    b.diameter("bore.diameter", "bore", bore, -0.1, 0.1)
    b.geometric("seat.runout", Kind.FACE_RUNOUT, "body", 0.01, "A")
    b.geometric("shank.cylindricity", Kind.CYLINDRICITY, "shank", 0.005)
    b.rough("shank.roughness", "shank", 0.8)
    return b.done(MandrelKind.CUP, "Cup mandrel for section tenon")


def double() -> Mandrel:
    """A plug at the nose and a plug with prefix ``b.`` at the rear."""
    b = Builder()
    front, back = b.thread("thread", "M9x0.75", True), b.thread("b.thread", "M12xPh2.4P0.8", True)
    d, e = front.crest_diameter, back.crest_diameter
    rf, rb = front.root_diameter - 0.3, back.root_diameter - 0.3
    b.cyl("b.chamfer", -58.7, -58.0, e - 1.4, e)
    b.outer.append(Stretch(feature="b.thread", z0=-58.0, z1=-52.0, d0=e, d1=e, thread=back))
    b.cyl("b.relief.flank", -52.0, -52.0 + (e - rb) / 2, e, rb)
    b.cyl("b.relief", -52.0 + (e - rb) / 2, -50.0, rb)
    b.cyl("b.collar", -50.0, -48.0, 14.0)
    b.cyl("shank", -48.0, -3.0, 12.0)
    b.cyl("collar", -3.0, 0.0, 13.0)
    b.cyl("relief", 0.0, 1.5, rf)
    b.cyl("relief.flank", 1.5, 1.5 + (d - rf) / 2, rf, d)
    b.outer.append(
        Stretch(feature="thread", z0=1.5 + (d - rf) / 2, z1=8.0, d0=d, d1=d, thread=front)
    )
    b.cyl("chamfer", 8.0, 8.7, d, d - 1.4)
    b.stations = {"b.nose": -58.7, "b.thread.end": -58.0, "b.seat": -50.0, "b.collar.start": -48.0,
                  "collar.start": -3.0, "seat": 0.0, "relief.end": 1.5, "thread.end": 8.0,
                  "nose": 8.7}  # fmt: skip
    b.diameter("shank.diameter", "shank", 12.0, -0.011, 0.0, "h6")
    b.length("shank.length", "b.collar.start", "collar.start")
    b.diameter("collar.diameter", "collar", 13.0, -0.2, 0.2)
    b.length("collar.length", "collar.start", "seat")
    b.diameter("b.collar.diameter", "b.collar", 14.0, -0.2, 0.2)
    b.length("b.collar.length", "b.collar.start", "b.seat")
    b.diameter("relief.diameter", "relief", round(rf, 6), -0.1, 0.0, "limits")
    b.length("relief.width", "seat", "relief.end")
    b.diameter("b.relief.diameter", "b.relief", round(rb, 6), -0.1, 0.0, "limits")
    b.length("thread.end", "seat", "thread.end", 0.05)
    b.length("nose.end", "seat", "nose")
    b.length("b.thread.end", "b.seat", "b.thread.end", 0.05)
    b.length("b.nose.end", "b.seat", "b.nose")
    b.geometric("seat.runout", Kind.FACE_RUNOUT, "collar", 0.01, "A")
    b.geometric("b.seat.runout", Kind.FACE_RUNOUT, "b.collar", 0.02, "A")
    return b.done(MandrelKind.DOUBLE_ENDED, "Double-ended mandrel")


def button() -> Mandrel:
    """A small tailstock button with a centre hole."""
    b = Builder()
    b.cyl("spigot1.chamfer", -8.0, -7.5, 6.0, 7.0)
    b.cyl("spigot1", -7.5, 0.0, 7.0)
    b.cyl("head", 0.0, 6.0, 12.0)
    b.stations = {"spigot.end": -8.0, "seat": 0.0, "nose": 6.0}
    b.diameter("spigot1.diameter", "spigot1", 7.0, -0.036, 0.0, "h9")
    b.length("spigot1.length", "spigot.end", "seat")
    b.diameter("head.diameter", "head", 12.0, -0.2, 0.2)
    b.length("head.length", "seat", "nose")
    b.geometric("seat.runout", Kind.RUNOUT, "head", 0.02, "A")
    holes = (centre_hole(b, "nose", 2.0, 4.25),)
    return b.done(MandrelKind.BUTTON, "Tailstock button", centre_holes=holes)


def spigot() -> Mandrel:
    """A plain spigot mandrel with an angled cone."""
    b = Builder()
    b.cyl("shank", -50.0, -3.0, 10.0)
    b.cyl("collar", -3.0, 0.0, 14.0)
    b.cyl("spigot1", 0.0, 25.0, 8.15)
    b.cyl("nose", 25.0, 27.0, 8.15, 8.15 - 4 * math.tan(math.radians(15)))
    b.stations = {
        "rear": -50.0,
        "collar.start": -3.0,
        "seat": 0.0,
        "spigot1.end": 25.0,
        "nose": 27.0,
    }
    b.diameter("shank.diameter", "shank", 10.0, -0.022, 0.0, "h8")
    b.length("shank.length", "rear", "collar.start")
    b.diameter("collar.diameter", "collar", 14.0, -0.2, 0.2)
    b.length("collar.length", "collar.start", "seat")
    b.diameter("spigot1.diameter", "spigot1", 8.15, -0.022, 0.0, "h8")
    b.length("spigot1.end", "seat", "spigot1.end")
    b.length("nose.end", "seat", "nose")
    b.cs.append(
        Characteristic(
            id="nose.angle",
            feature="nose",
            kind=Kind.ANGLE,
            nominal=15.0,
            lower=14.0,
            upper=16.0,
            unit="°",
            general=True,
        )
    )
    b.geometric("spigot1.runout", Kind.RUNOUT, "spigot1", 0.01, "A")
    return b.done(MandrelKind.SPIGOT, "Plain spigot mandrel")


SAMPLES = {"plug": plug, "cup": cup, "double": double, "button": button, "spigot": spigot}
