"""The archive when it fails: at any call on the disk, killed, and with several runs at once."""

from __future__ import annotations

import errno
import multiprocessing
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from mandrelgen.archive.design_hash import design_hash, slot_of
from mandrelgen.archive.disk.files import TEMP_PREFIX
from mandrelgen.archive.disk.locks import LOCK
from mandrelgen.archive.events import release, status_of_entry
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.numbering import NumberPlan, clearing
from mandrelgen.archive.publish import publish, publish_all
from mandrelgen.archive.record_files import entries, find_slot
from mandrelgen.archive.root import open_root
from mandrelgen.archive.verify import RESERVED, verify
from mandrelgen.core.errors import DiskError, InputError
from tests.support.archive_builds import DATE, build, job_of, mandrel, plan_of
from tests.support.disk_calls import (
    REMOVING,
    WRITING,
    at_each_call,
    in_child,
    needs_fork,
    raiser,
    tree,
)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "shelf" / "archive"


# Failures.


def test_a_revision_that_goes_while_its_status_is_asked_is_told(root: Path) -> None:
    build(root, mandrel())
    archive = open_root(root)
    (entry,) = entries(archive.root, "PEN-0001")
    shutil.rmtree(entry.folder)
    with pytest.raises(DiskError, match="removed meanwhile"):
        status_of_entry(archive, entry)


def test_a_failed_run_leaves_no_number_and_no_new_root(root: Path) -> None:
    archive = open_root(root, "PEN")
    plans: list[NumberPlan] = []
    with pytest.raises(KeyboardInterrupt), clearing(archive, plans):  # noqa: PT012
        plans += [plan_of(archive, mandrel("cap")), plan_of(archive, mandrel("barrel"))]
        assert sorted(os.listdir(root)) == ["PEN-0001", "PEN-0002"]
        raise KeyboardInterrupt
    assert not root.parent.exists()
    build(root, mandrel())
    before = tree(root)
    archive, plans = open_root(root), []
    with pytest.raises(RuntimeError), clearing(archive, plans):  # noqa: PT012
        plans.append(plan_of(archive, mandrel("barrel")))
        raise RuntimeError
    assert tree(root) == before


@pytest.mark.parametrize(
    "failure", [OSError(errno.ENOSPC, "full"), KeyboardInterrupt()], ids=["full", "ctrl-c"]
)
@pytest.mark.parametrize("state", ["new root", "draft", "released"])
def test_a_failure_at_any_call_leaves_the_archive_as_it_was(
    tmp_path: Path, failure: BaseException, state: str
) -> None:
    root = tmp_path / "house" / "archive"
    (tmp_path / "house").mkdir()
    if state != "new root":
        build(root, mandrel())
    if state == "released":
        release(open_root(root), "PEN-0001", DATE)
    before, failed = tree(tmp_path), 0
    for n in range(1, 200):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(failure))
            try:
                entry = build(root, mandrel(diameter=8.0), "a reason")
            except (DiskError, KeyboardInterrupt):
                assert tree(tmp_path) == before, f"call {n}"
                failed += 1
                continue
        assert verify(open_root(root)) == ()
        if count[0] < n:
            break
        shutil.rmtree(entry.folder)  # the failure did not matter: put all back
        if state == "new root":
            shutil.rmtree(root)
    assert failed > 15
    assert [e.folder.name for e in entries(root, "PEN-0001")] == {
        "new root": ["A"],
        "draft": ["A", "A.2"],
        "released": ["A", "B"],
    }[state]


@needs_fork
@pytest.mark.parametrize("state", ["new root", "draft"])
def test_killed_at_any_call_the_archive_is_whole_and_goes_on(tmp_path: Path, state: str) -> None:
    whole = 0
    for n in range(1, 200):
        root = tmp_path / f"{n}" / "archive"
        root.mkdir(parents=True)
        (root / "foreign.txt").write_bytes(b"mine")
        if state == "draft":
            build(root, mandrel())
        before = tree(root)

        def run(n: int = n, root: Path = root) -> None:
            at_each_call(pytest.MonkeyPatch(), WRITING + REMOVING, n, lambda: os._exit(9))
            build(root, mandrel(diameter=8.0))

        code = in_child(run)
        assert code in (0, 9)
        after = tree(root)
        assert {k: v for k, v in after.items() if k in before} == before
        faults = [f for f in verify(open_root(root, "PEN")) if f.path != MARKER]
        assert [f.detail for f in faults] in ([], [RESERVED])  # killed with its number reserved
        family = find_slot(root, "PEN", slot_of(mandrel()))
        done = bool(family) and family[-1].record.design_hash == design_hash(mandrel(diameter=8.0))
        assert done or [e.draft for e in family] == ([1] if state == "draft" else [])
        whole += done
        entry = build(root, mandrel(diameter=8.0))  # a later run finishes, or finds it done
        assert entry.draft == (2 if state == "draft" else 1)
        assert not [name for name in os.listdir(root) if name.startswith(TEMP_PREFIX)]
        assert verify(open_root(root)) == ()
        if code == 0:
            break
    assert n > 20
    assert 2 <= whole < n


def test_a_set_is_published_together_or_not_at_all(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = open_root(root, "PEN")
    made = [mandrel("cap"), mandrel("barrel"), mandrel("section")]
    jobs = [job_of(plan_of(archive, m), m) for m in made]
    real, calls = os.rename, []

    def third_fails(src: Path, dst: Path) -> None:
        calls.append(dst)
        if len(calls) == 3:
            raise OSError(errno.EROFS, "read-only")
        real(src, dst)

    monkeypatch.setattr(os, "rename", third_fails)
    with pytest.raises(DiskError, match="read-only"):
        publish_all(archive, jobs)
    assert len(calls) == 5
    assert not root.parent.exists()
    jobs = [job_of(plan_of(archive, m), m) for m in made]
    assert [e.number for e in publish_all(archive, jobs)] == ["PEN-0001", "PEN-0002", "PEN-0003"]
    one = mandrel("cap", diameter=7.0)
    twice = [job_of(plan_of(archive, one), one)] * 2
    with pytest.raises(ValueError, match="share a slot"):
        publish_all(archive, twice)


# Two runs at once.


def _race(function: Callable[..., None], arguments: list[tuple[object, ...]]) -> None:
    context = multiprocessing.get_context("fork")
    barrier = context.Barrier(len(arguments))
    processes = [context.Process(target=function, args=(barrier, *a)) for a in arguments]
    for process in processes:
        process.start()
    for process in processes:
        process.join(60)
        assert process.exitcode == 0


def _many(barrier: object, root: Path, worker: int, count: int) -> None:
    barrier.wait()  # type: ignore[attr-defined]
    for n in range(count):
        build(root, mandrel(f"part{worker}-{n}"))
        archive, plans = open_root(root, "PEN"), []
        with clearing(archive, plans):  # a run that gives up, among the others
            plans.append(plan_of(archive, mandrel(f"never{worker}")))


@needs_fork
def test_runs_at_once_never_take_the_same_number(root: Path) -> None:
    _race(_many, [(root, worker, 5) for worker in range(4)])
    found = [e for name in os.listdir(root) for e in entries(root, name)]
    assert len({e.number for e in found}) == len(found) == 20
    assert len({e.record.slot for e in found}) == 20
    assert verify(open_root(root)) == ()
    assert sorted(os.listdir(root)) == sorted([*(e.number for e in found), LOCK, MARKER])


def _same(barrier: object, root: Path, said: object) -> None:
    barrier.wait()  # type: ignore[attr-defined]
    archive = open_root(root, "PEN")
    plan = plan_of(archive, mandrel())
    barrier.wait()  # type: ignore[attr-defined]  # everybody has planned before one publishes
    job = job_of(plan, mandrel())
    said.put(publish(archive, plan, job.files, job.record).number)  # type: ignore[attr-defined]


@needs_fork
def test_runs_at_once_with_the_same_design_get_one_record(root: Path) -> None:
    said = multiprocessing.get_context("fork").SimpleQueue()
    _race(_same, [(root, said)] * 4)
    (number,) = {said.get() for _ in range(4)}
    assert sorted(os.listdir(root)) == sorted([number, LOCK, MARKER])


def test_a_change_by_another_run_meanwhile_is_noticed(root: Path) -> None:
    build(root, mandrel())
    archive = open_root(root)
    late = mandrel(diameter=8.0)
    job = job_of(plan_of(archive, late), late)
    build(root, mandrel(diameter=8.1))
    before = tree(root)
    with pytest.raises(DiskError, match="another run"):
        publish(archive, job.plan, job.files, job.record)
    job = job_of(plan_of(archive, late), late)
    release(archive, "PEN-0001", DATE)
    with pytest.raises(InputError, match="--reason"):
        publish(archive, job.plan, job.files, job.record)
    assert {k: v for k, v in tree(root).items() if "events" not in k} == before
