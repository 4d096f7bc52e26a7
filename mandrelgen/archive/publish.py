"""Publishing fixtures under the numbers they were given (see `numbering`), all or none.

The decision is repeated under the archive's lock just before the rename. If another run published
the same design meanwhile, its record comes back; if it published another, the run is told so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive import journal
from mandrelgen.archive.design_hash import mandrel_json
from mandrelgen.archive.disk.store import staged, sweep
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import (
    revision_folder,
)
from mandrelgen.archive.numbering import NumberPlan, NumberRequest, decide
from mandrelgen.archive.record_files import RECORD, Entry
from mandrelgen.archive.records import Known, Record, Slot
from mandrelgen.archive.root import Archive, clear, held
from mandrelgen.core.errors import DiskError, Finding
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import Mandrel


@dataclass(frozen=True, slots=True)
class Publication:
    """One fixture to publish: its plan, every file but record and manifest, and its record."""

    plan: NumberPlan
    files: Mapping[str, bytes]
    record: Record


def make_record(
    plan: NumberPlan,
    mandrel: Mandrel,
    date: str,
    program: str,
    proof: Mapping[str, Any] | None = None,
    accepted: Sequence[Finding] = (),
) -> Record:
    """The record of a new plan; ``date`` ISO 8601, ``program`` name and version, ``proof`` what
    was checked on the files, as plain JSON values; ``accepted``: what the maker lives with."""
    return Record(
        number=plan.number,
        revision=plan.revision,
        draft=plan.draft,
        slot=plan.slot,
        design_hash=plan.design_hash,
        kind=mandrel.kind.value,
        title=mandrel.title,
        date=date,
        reason=plan.reason,
        history=plan.lines(date),
        program=program,
        papers=dict(plan.papers),
        accepted=tuple(
            Known(code=f.code, where=f.where, message=f.message, reason=f.reason, value=f.value)
            for f in accepted
        ),
        proof=dict(proof or {}),
    )


def input_files(mandrel: Mandrel, pen: bytes, shop: bytes | None) -> dict[str, bytes]:
    """``pen.toml`` and ``shop.toml`` as given, and ``mandrel.json``."""
    files = {"pen.toml": pen, "mandrel.json": mandrel_json(mandrel)}
    return files if shop is None else {**files, "shop.toml": shop}


def _package(job: Publication) -> dict[str, bytes]:
    plan, record = job.plan, job.record
    named = (record.number, record.revision, record.draft, record.slot, record.design_hash)
    if plan.dry or named != (
        plan.number,
        plan.revision,
        plan.draft,
        plan.slot,
        plan.design_hash,
    ):
        raise ValueError(f"{plan.number}: the record does not fit the plan, or the plan is dry")
    if {RECORD, MANIFEST} & {name.lower() for name in job.files}:
        raise ValueError(f"{RECORD} and {MANIFEST} are written by the archive")
    package = {**job.files, RECORD: record.to_bytes()}
    return {**package, MANIFEST: make_manifest(package).to_bytes()}


def _target(archive: Archive, plan: NumberPlan) -> Path:
    return archive.root / plan.number / revision_folder(plan.revision, plan.draft)


def publish_all(archive: Archive, jobs: Sequence[Publication]) -> tuple[Entry, ...]:
    """Publish several fixtures together, all or none; those that exist come back untouched.

    What a failed call reserved is cleared. Raises DiskError.
    """
    new = [job for job in jobs if job.plan.existing is None]
    if len({job.plan.slot for job in new}) != len(new):
        raise ValueError("two fixtures of one run share a slot")
    packages = {_target(archive, job.plan): _package(job) for job in new}
    found: dict[Slot, Entry] = {}
    sweep(archive.root)  # before anything is written: on a full disk this makes room
    try:
        if new:
            with staged(packages, archive.root) as stage, held(archive):
                found = {job.plan.slot: e for job in new if (e := _settled(archive, job.plan))}
                wanted = [job for job in new if job.plan.slot not in found]
                journal.note(archive.root, [job.plan.number for job in wanted])
                stage.commit(_target(archive, job.plan) for job in wanted)
    finally:
        clear(archive, [archive.root / job.plan.number for job in new if job.plan.reserved])
    return tuple(
        job.plan.existing
        or found.get(job.plan.slot)
        or Entry(_target(archive, job.plan), job.record)
        for job in jobs
    )


def publish(
    archive: Archive, plan: NumberPlan, files: Mapping[str, bytes], record: Record
) -> Entry:
    """Publish one fixture (see `publish_all`)."""
    return publish_all(archive, [Publication(plan, files, record)])[0]


def _settled(archive: Archive, plan: NumberPlan) -> Entry | None:
    """The record another run published meanwhile for the same design; None: the plan stands.

    Raises DiskError if another run published something else in its place.
    """
    wanted = NumberRequest(
        slot=plan.slot,
        design_hash=plan.design_hash,
        papers=plan.papers,
        reason=plan.reason,
        reissue=plan.reissue,
    )
    now = decide(archive, wanted, locked=True)
    if now.existing:
        return now.existing
    number = now.number or plan.number
    if (number, now.revision, now.draft) == (plan.number, plan.revision, plan.draft):
        return None
    raise DiskError(
        f"{number} was changed by another run while {plan.number} {plan.revision} was written.",
        "Run the command again.",
    )
