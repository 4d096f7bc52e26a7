"""An archive on real files without drawings: records with mandrel, pen and shop, as `make` files
them, in a hundredth of the time."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive import design_hash, numbering, root
from mandrelgen.archive import publish as publishing
from mandrelgen.archive.record_files import Entry
from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.design.from_measurements import mandrel_of
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.old_fixture import read_old
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import adopt

DAY = "2026-05-31"
# A spigot asked for: the starters have none by themselves.
SPIGOT = "\n[mandrels.defaults]\nspigot_length = 15.3\n"


def starters(
    pen: str, shop: str = "bench", more: str = "", **changes: str
) -> tuple[Pen, Shop, bytes, bytes]:
    """A starter pen and shop, read and as bytes; ``more``: text added, ``changes``: texts replaced
    (old=new)."""
    data = starter("pen", pen).decode("utf-8") + more
    for old, new in changes.items():
        assert old in data, old
        data = data.replace(old, new)
    pen_bytes, shop_bytes = data.encode("utf-8"), starter("shop", shop)
    return (
        read_pen(pen_bytes, "pen.toml"),
        read_shop(shop_bytes, "shop.toml"),
        pen_bytes,
        shop_bytes,
    )


def publish(folder: Path, mandrel: Mandrel, pen: bytes, shop: bytes, reason: str = "") -> Entry:
    """File one mandrel."""
    archive = root.open_root(folder)
    plan = numbering.assign(
        archive, design_hash.slot_of(mandrel), design_hash.design_hash(mandrel), reason
    )
    files = publishing.input_files(mandrel, pen, shop)
    record = (
        plan.existing.record
        if plan.existing
        else publishing.make_record(plan, mandrel, DAY, "test")
    )
    return publishing.publish(archive, plan, files, record)


def publish_pen(folder: Path, name: str, more: str = "") -> dict[str, tuple[Entry, Designed]]:
    """File every mandrel of a starter; by the mandrel's id."""
    pen, shop, pen_bytes, shop_bytes = starters(name, more=more)
    return {
        d.planned.id: (publish(folder, d.mandrel, pen_bytes, shop_bytes), d)
        for d in designs(pen, shop)
        if d.mandrel is not None
    }


OLD_PLUG = """schema = 1
id = "tin-3"
kind = "plug"
title = "Plug from the tea tin"
instrument = "micrometer"
date = 2021-04-03
notes = ["small nick on the collar"]

[thread]
thread = "M8.5x0.75"
crest = 8.41
start = 1.9
end = 8.0

[seat]
diameter = 10.5

[neck]
diameter = 9.5
length = 6.0

[shank]
diameter = 10.0
length = 45.0

[[spigot]]
diameter = 7.6
start = 10.5
end = 22.5
"""

OLD_CUP = """schema = 1
id = "box-1"
kind = "cup"
title = "Brass cup, left hand"
instrument = "micrometer"
material = "CW614N"
floor = 9.0

[thread]
thread = "M9x0.75 LH"
start = 1.5
end = 7.5

[seat]
diameter = 11.5

[shank]
diameter = 10.0
length = 45.0

[counterbore]
diameter = 9.2
length = 1.0
"""

OLD_SPIGOT = """schema = 1
id = "jar-2"
kind = "spigot"
instrument = "caliper"

[seat]
diameter = 12.0

[shank]
diameter = 12.0
length = 50.0

[[spigot]]
diameter = 6.0
start = 0.0
end = 18.0
run_out = 0.02
"""


def old(text: str, **changes: str) -> Mandrel:
    """The old fixture of a file, some of its lines changed."""
    for a, b in changes.items():
        assert text.count(a) == 1, a
        text = text.replace(a, b)
    return mandrel_of(read_old(text.encode(), "old.toml"))


def enter(archive: Path, text: str, reason: str = "") -> str:
    """Enter an old fixture; its number."""
    return adopt.adopt(
        root.open_root(archive), text.encode(), "o.toml", DAY, "t", reason
    ).entry.number
