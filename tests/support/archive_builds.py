"""A small mandrel, and how it is planned, filed and ordered in an archive on real files."""

from __future__ import annotations

import dataclasses
from pathlib import Path

from mandrelgen.archive.design_hash import design_hash, slot_of
from mandrelgen.archive.numbering import NumberPlan, assign, clearing
from mandrelgen.archive.orders import assign_order, make_order, order_item, publish_order
from mandrelgen.archive.publish import (
    Publication,
    input_files,
    make_record,
    publish,
)
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.root import Archive, open_root
from mandrelgen.model.characteristic import Characteristic, Decision, Kind
from mandrelgen.model.mandrel import (
    CentreHole,
    Flats,
    Mandrel,
    MandrelKind,
    Ordering,
    Stretch,
    ThreadData,
    ThreadForm,
)
from mandrelgen.standards.designation import parse as designation
from mandrelgen.standards.threads import limits

DATE = "2031-05-04"
PROGRAM = "mandrelgen 0"
PEN, SHOP = b"schema = 1\n# my pen\n", b"schema = 1\n"


def mandrel(part: str = "cap", diameter: float = 8.2, **changes: object) -> Mandrel:
    """A small spigot with one thread, in the invented scenario of these tests."""
    form = ThreadForm(
        external=True,
        starts=1,
        pitch=0.75,
        left_hand=False,
        crest_diameter=8.9,
        pitch_diameter=8.4,
        root_diameter=7.9,
    )
    designed = designation("M9x0.75")
    thread = ThreadData(
        feature="thread",
        limits=limits(designed, True),
        partner=limits(designed, False),
        full_pitches=5.0,
        turns_of_lead=5.0,
        order="single-point",
        form=form,
    )
    made = Mandrel(
        id=f"{part}-open",
        kind=MandrelKind.PLUG,
        pen="heron",
        part=part,
        end="open",
        title="Plug mandrel",
        purpose="hold it",
        outer=(
            Stretch(feature="shank", z0=-40, z1=0, d0=12, d1=12),
            Stretch(feature="spigot1", z0=0, z1=9, d0=diameter, d1=diameter),
        ),
        inner=(),
        characteristics=(
            Characteristic(
                id="spigot1.diameter",
                feature="spigot1",
                kind=Kind.DIAMETER,
                nominal=diameter,
                lower=diameter - 0.02,
                upper=diameter,
            ),
            Characteristic(
                id="shank.length",
                feature="shank",
                kind=Kind.LENGTH,
                nominal=40.0,
                lower=39.7,
                upper=40.3,
            ),
        ),
        decisions=(Decision("fit", "fit", "h7", "it centres"),),
        ordering=Ordering("6082 T6", marking="HERON"),
        stations={"seat": 0.0},
        threads=(thread,),
        centre_holes=(CentreHole(at="nose", type="A", d=2, mouth=4.25, keep="required"),),
        flats=Flats(-10, -4, 10),
    )
    return dataclasses.replace(made, **changes)


def plan_of(archive: Archive, made: Mandrel, reason: str | None = None) -> NumberPlan:
    return assign(archive, slot_of(made), design_hash(made), reason)


def job_of(plan: NumberPlan, made: Mandrel) -> Publication:
    files = input_files(made, PEN, SHOP)
    files[f"{plan.number}.step"] = f"{plan.number} {plan.revision} {made.outer[1].d0}".encode()
    return Publication(plan, files, make_record(plan, made, DATE, PROGRAM, {"step": "read back"}))


def build(root: Path, made: Mandrel, reason: str | None = None) -> Entry:
    """A whole run for one fixture."""
    archive = open_root(root, "PEN")
    plans: list[NumberPlan] = []
    with clearing(archive, plans):
        plans.append(plan_of(archive, made, reason))
        job = job_of(plans[0], made)
        return publish(archive, job.plan, job.files, job.record)


# Orders.


def order(root: Path, made: Entry, quantity: int = 1, body: bytes = b"cover") -> Path:
    archive = open_root(root)
    plan = assign_order(archive, "heron", [order_item(made, quantity)], {"spare": False})
    return publish_order(archive, plan, {"cover.pdf": body}, make_order(plan, DATE, PROGRAM))
