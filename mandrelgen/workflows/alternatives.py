"""Other ways for a mandrel that would change its word: each tried on the whole pen before it is
offered, as a remedy is."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from dataclasses import field
from pathlib import Path

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import Change, DesignError, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.practice import assumed
from mandrelgen.spec.patch import NoPlaceError, patched_text
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows import bench_edits
from mandrelgen.workflows.asked_before import asked_before
from mandrelgen.workflows.bench_look import Look, look_at
from mandrelgen.workflows.edit import Transform

FEW = "pens_on_own"
EASE = (Word.CHANGE, Word.ORDER, Word.MAKE, Word.HAVE, Word.SKIP)
"""The words, the one that leaves the most to be done first."""


@dataclass(frozen=True, slots=True)
class Way:
    """A change that may change a word. ``kind`` and ``values`` say it (`texts`, ``way.``); ``pen``
    or ``shop``: what it does to that file."""

    kind: str
    pen: Transform | None = None
    shop: Transform | None = None
    values: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Alternative:
    """A way that holds: the word it leads to, and why; ``better``: whether that leaves less to be
    done than the word now."""

    way: Way
    answer: Answer
    better: bool


def alternatives(seen: Look, planned: str, archive: Path) -> tuple[Alternative, ...]:
    """The ways that change the word of the mandrel ``planned`` and hold back no other; none for
    one that is not planned, or had. Raises DiskError."""
    by_id = {d.planned.id: d for d in seen.checked.designed}
    now = next((a for a in seen.answers if a.planned == planned), None)
    if now is None or (now.word is Word.HAVE and not now.state):
        return ()  # what is there is not to be made another way
    d = by_id[planned]
    stuck = sum(a.word is Word.CHANGE for a in seen.answers)
    found = []
    for way in (*_ways(seen, d, now), *_as_asked_for(seen, planned, archive)):
        after = _after(seen, way, archive)
        if after is None or sum(a.word is Word.CHANGE for a in after.answers) > stuck:
            continue
        parts = {o.planned.id: o.planned.hold.part for o in after.checked.designed}
        answer = next((a for a in after.answers if parts[a.planned] == d.planned.hold.part), None)
        if answer is not None and answer.word not in (now.word, Word.CHANGE):
            better = EASE.index(answer.word) > EASE.index(now.word)
            found.append(Alternative(way, answer, better))
    return tuple(found)


def _after(seen: Look, way: Way, archive: Path) -> Look | None:
    """The pen after a way; None if it makes none that can be read."""
    inputs = seen.checked.inputs
    data, shop = seen.data, inputs.shop_bytes
    try:
        if way.pen is not None:
            data = way.pen(data.decode("utf-8-sig")).encode()
        if way.shop is not None:
            shop = way.shop((shop or bench_edits.NEW_SHOP).decode("utf-8-sig")).encode()
        return look_at(data, f"{inputs.pen.pen.id}.toml", shop, archive)
    except (InputError, DesignError, NoPlaceError):
        return None


def _ways(seen: Look, d: Designed, now: Answer) -> Iterator[Way]:
    """What might be done, the least first."""
    pen = seen.checked.inputs.pen
    few = int(assumed("words", FEW).value)
    if now.word is Word.SKIP and not pen.mandrels.all_needed:
        yield _wish("all", ("mandrels", "all_needed"), True)
    if pen.mandrels.all_needed:
        yield _wish("needed", ("mandrels", "all_needed"), None)
    yield from _threading(seen, d)
    # A number of pens that the maker has said is not talked out of.
    if now.word is Word.MAKE and (d.wishes is None or d.wishes.pens is None):
        yield _default("many", "pens", few + 1, n=few)
    part = d.planned.hold.part
    for name, end in pen.parts[part].ends.items():
        if name != d.planned.hold.end and (end.internal or end.external or end.bore):
            yield _wish("hold", ("mandrels", "hold", part), name, end=name)


def _as_asked_for(seen: Look, planned: str, archive: Path) -> Iterator[Way]:
    """The shank with which the archive's own one was asked for, before the pen was changed."""
    before = asked_before(seen, archive).get(planned)
    if before is not None and before.shank is not None:
        size = before.shank
        value = int(size) if size == int(size) else size
        yield _default("shank", "shank_diameter", value, size=text_of(size))


def _threading(seen: Look, d: Designed) -> Iterator[Way]:
    """Who cuts the thread, and with what."""
    wishes, hold = d.wishes, d.planned.hold
    pen = seen.checked.inputs.pen
    if wishes is None or hold.by == "bore":
        return
    if wishes.quantity > 1:
        yield _default("one", "quantity", None)
    if wishes.thread_order is not ThreadOrder.SINGLE_POINT:
        yield _default("turner", "thread_order", None)
    end = pen.parts[hold.part].ends[hold.end]
    thread = end.internal if hold.by == "internal" else end.external
    if thread is None:
        return
    tool = "die" if hold.by == "internal" else "tap"
    name = read_thread(thread.thread).name
    add = bench_edits.add_tool(f"{tool}s", name)
    yield Way(tool, shop=add, values={"thread": name})
    if wishes.thread_order is not ThreadOrder.MY_TOOL:
        yield _default("my-tool", "thread_order", ThreadOrder.MY_TOOL.value)


def _wish(
    kind: str, path: tuple[str, ...], value: str | float | bool | None, **more: object
) -> Way:
    change = functools.partial(patched_text, changes=[Change(path, value)])
    return Way(kind, pen=change, values={k: str(v) for k, v in more.items()})


def _default(kind: str, key: str, value: str | float | None, **more: object) -> Way:
    return _wish(kind, ("mandrels", "defaults", key), value, **more)
