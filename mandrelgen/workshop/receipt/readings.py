"""Readings as a person gives them, and what they prove about a mandrel's characteristics.

A reading is ``id=value``, by characteristic id or balloon number: ``spigot1.diameter=7.652``,
``20=7.652@micrometer``. A pitch diameter over wires names the wire:
``thread.pitch_diameter=8.421@wires:0.455``. A reading may bring its own uncertainty (k = 2):
``20=7.652±0.003@micrometer``; a value from the shop's report must: ``20=7.652±0.003@report``. What
a gauge or a report without a value says is ``pass`` or ``fail``:
``thread.minor_diameter=pass@ring-gauge``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import field, replace

from mandrelgen.core.errors import Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.inspected import inspected
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import wires
from mandrelgen.standards.iso_14253 import Conformity, combine, decide, overall, zone
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.turning import instruments

_READING = re.compile(
    r"^\s*(?P<id>[A-Za-z0-9._-]{1,60})\s*=\s*(?:(?P<word>pass|fail)|"
    r"(?P<value>[+-]?\d{1,4}(?:[.,]\d{1,6})?)"
    r"(?:\s*(?:±|\+-|\+/-)\s*(?P<u>\d(?:[.,]\d{1,6})?))?)\s*"
    r"(?:@\s*(?P<tool>[a-z][a-z0-9_-]{0,31})(?::(?P<wire>\d(?:[.,]\d{1,4})?))?)?\s*$"
)
MARK = "reading"
REPORT = "report"
SHANK = "shank.diameter"
MOST_UNCERTAIN = 1.0  # mm; more is a slip of the pen
_THREAD = (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)
# What may say pass or fail, and of which kinds (none named: of all). The pen's own part is not
# among them: that it screws on proves no limit.
JUDGES: dict[str, tuple[Kind, ...]] = {
    "gauge": (*_THREAD, Kind.DIAMETER, Kind.LENGTH),
    "ring-gauge": _THREAD,
    "plug-gauge": (*_THREAD, Kind.DIAMETER),
    "plates": (Kind.ROUGHNESS,),
    REPORT: (),
}


@dataclass(frozen=True, slots=True)
class Given:
    """A reading as given: whose, how much, with what ("" : the finest at home), over which wire;
    ``passed`` instead of a value where a gauge or the eye judged; ``uncertainty`` of this reading
    (None: the instrument's). ``origin``: where it was written, for messages."""

    id: str
    value: float = 0.0
    instrument: str = ""
    wire: float | None = None
    passed: bool | None = None
    uncertainty: float | None = None
    origin: str = field(default=MARK, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A reading understood: ``value`` in the characteristic's own unit and kind (a reading over
    wires is turned into the pitch diameter; ``raw`` keeps what was read, ``wire`` over what); None
    for what a gauge passed or failed."""

    id: str
    value: float | None
    uncertainty: float
    instrument: str
    verdict: Conformity
    raw: float | None
    wire: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A characteristic's verdict from its readings; ``needed``: the mandrel is not proved without
    it; ``free``: limits for information only (the customer's own tap or die). ``instead``: what
    would prove it if it is not decided."""

    number: int
    id: str
    limits: tuple[float | None, float | None]
    readings: tuple[Reading, ...]
    verdict: Conformity
    needed: bool
    free: bool
    instead: str

    @property
    def never(self) -> bool:
        """Whether no instrument it was read with can prove it right, whatever it reads."""
        return bool(self.readings) and all(
            r.value is not None and zone(*self.limits, r.uncertainty) is None for r in self.readings
        )

    @property
    def collet_decides(self) -> bool:
        """Whether it is a shank that the instrument at hand never decides: for use it counts that
        the collet clamps it."""
        return self.id == SHANK and self.never and self.verdict is Conformity.UNDECIDED

    @property
    def open_says(self) -> str:
        """Why it is not decided and what would decide; "" where it is decided."""
        if self.verdict is not Conformity.UNDECIDED or not self.readings:
            return ""
        low, high = self.limits
        said = []
        if self.never and low is not None and high is not None:
            least = min(r.uncertainty for r in self.readings)
            said.append(f"± {text_of(least)} never decides limits {text_of(high - low)} apart")
        if self.instead:
            said.append(f"what would decide: {self.instead}")
        if self.id == SHANK:
            said.append("for use it counts that the collet clamps it")
        return "; ".join(said)


@dataclass(frozen=True, slots=True)
class Judgement:
    """Every characteristic that was read or is needed, and the verdict on the mandrel."""

    judged: tuple[Judged, ...]
    verdict: Conformity

    @property
    def missing(self) -> tuple[Judged, ...]:
        """Needed characteristics without a reading."""
        return tuple(j for j in self.judged if j.needed and not j.readings)


def parse_all(texts: Sequence[str], origin: str) -> tuple[list[Given], list[Finding]]:
    """Every text that is a reading, and a fault for each that is none."""
    found: list[Given] = []
    faults: list[Finding] = []
    for text in texts:
        try:
            found.append(replace(parse(text), origin=origin))
        except InputError as e:
            faults += [replace(f, where=origin) for f in e.findings]
    return found, faults


def parse(text: str) -> Given:
    """Read ``id=value[±U][@instrument[:wire]]``. Raises InputError that says what is allowed."""
    m = _READING.match(text)
    if m is None:
        raise _fault(
            f"'{text[:60]}' is not a reading",
            "write id=value, for example spigot1.diameter=7.652@micrometer, or the balloon's number"
            " for the id; over wires thread.pitch_diameter=8.421@wires:0.455; with its own "
            "uncertainty 7.652±0.003 or 7.652+-0.003",
        )
    wire = m["wire"]
    if m["word"]:
        if not m["tool"] or wire:
            raise _fault(
                f"'{text[:60]}': what judged it?", f"write {m['id']}={m['word']}@ring-gauge"
            )
        return Given(m["id"], instrument=m["tool"], passed=m["word"] == "pass")
    own = None if m["u"] is None else _number(m["u"])
    if own is not None and not 0 < own <= MOST_UNCERTAIN:
        raise _fault(
            f"'{text[:60]}': an uncertainty is above 0 and at most {MOST_UNCERTAIN:g} mm",
            "write the reading's expanded uncertainty (k = 2), or leave it out to take the "
            "instrument's",
        )
    return Given(
        id=m["id"], value=_number(m["value"]), instrument=m["tool"] or "",
        wire=None if wire is None else _number(wire), uncertainty=own,
    )  # fmt: skip


def judge(
    mandrel: Mandrel, shop: Shop, given: Sequence[Given], before: Sequence[Finding] = ()
) -> Judgement:
    """Apply ISO 14253-1 to every reading.

    Raises InputError with every reading that names no characteristic or no instrument, or that
    cannot be a reading of it; the faults found ``before`` (readings that could not be read at all)
    are told with them.
    """
    found: dict[str, list[Reading]] = {}
    faults: list[Finding] = [*before]
    for g in given:
        try:
            c = find(mandrel, g.id)
            found.setdefault(c.id, []).append(_understand(mandrel, shop, c, g))
        except InputError as e:
            faults += [replace(f, where=g.origin) for f in e.findings]
    if faults:
        raise InputError(faults)
    judged = []
    numbers, hangs = numbered(mandrel), inspected(mandrel)
    for c in mandrel.characteristics:
        free = instruments.informative(mandrel, c)
        needed = c.id in hangs and not free and (c.lower is not None or c.upper is not None)
        readings = tuple(found.get(c.id, ()))
        if readings or needed:
            verdict = combine((r.verdict, r.uncertainty) for r in readings)
            open_ = verdict is Conformity.UNDECIDED
            instead = instruments.elsewhere(mandrel, c, value=_finest(readings)) if open_ else ""
            limits = (c.lower, c.upper)
            judged.append(
                Judged(
                    number=numbers[c.id],
                    id=c.id,
                    limits=limits,
                    readings=readings,
                    verdict=verdict,
                    needed=needed,
                    free=free,
                    instead=instead,
                )
            )
    counted = (
        j.verdict for j in judged if j.needed or (j.verdict is Conformity.REJECT and not j.free)
    )
    return Judgement(tuple(judged), overall(counted))


def _finest(readings: Sequence[Reading]) -> float | None:
    """The value that was read with the least uncertainty; None where none was."""
    read = [(r.uncertainty, r.value) for r in readings if r.value is not None]
    return min(read)[1] if read else None


def find(mandrel: Mandrel, id: str) -> Characteristic:
    """The characteristic of an id or a balloon number; of two under one balloon the one that has
    the callout. Raises InputError."""
    numbers = {n: name for name, n in reversed(numbered(mandrel).items())}
    for c in mandrel.characteristics:
        if c.id == id or (id.isdigit() and not c.said_by and numbers.get(int(id)) == c.id):
            return c
    near = [c.id for c in mandrel.characteristics if id.split(".")[0] in c.id][:6]
    known = ", ".join(near) or ", ".join(c.id for c in mandrel.characteristics if c.functional)
    raise _fault(
        f"the mandrel has no characteristic '{id}'",
        f"use a balloon number 1 to {len(numbers)}, or an id such as {known}",
    )


def _understand(mandrel: Mandrel, shop: Shop, c: Characteristic, g: Given) -> Reading:
    if g.passed is not None:
        _check_judge(c, g)
        verdict = Conformity.ACCEPT if g.passed else Conformity.REJECT
        return Reading(
            id=c.id, value=None, uncertainty=0.0, instrument=g.instrument, verdict=verdict, raw=None
        )
    tool = _tool(mandrel, shop, c, g)
    value = _plain_value(mandrel, c, g, tool)
    verdict = decide(value, c.lower, c.upper, tool.uncertainty)
    return Reading(
        id=c.id,
        value=value,
        uncertainty=tool.uncertainty,
        instrument=tool.name,
        verdict=verdict,
        raw=g.value,
        wire=g.wire,
    )


def _check_judge(c: Characteristic, g: Given) -> None:
    """Refuse a word from what cannot judge this characteristic."""
    able = [name for name, kinds in JUDGES.items() if not kinds or c.kind in kinds]
    if g.instrument not in able:
        raise _fault(
            f"{c.id}: '{g.instrument}' cannot pass or fail a {c.kind.value}",
            f"{', '.join(able)} can (report: the shop's own report); or give a reading",
        )


def _tool(mandrel: Mandrel, shop: Shop, c: Characteristic, g: Given) -> instruments.Tool:
    """The instrument named, else the finest at home, with the reading's own uncertainty if it has
    one. Raises InputError."""
    if g.instrument == REPORT:
        if g.uncertainty is None:
            raise _fault(
                f"{c.id}: a value from the report needs its uncertainty",
                f"ask the shop for it and write {g.id}={text_of(g.value)}±0.005@{REPORT}, or write "
                f"{g.id}=pass@{REPORT} if it says no more",
            )
        return instruments.Tool(REPORT, REPORT, g.uncertainty)
    tool = _instrument(mandrel, shop, c, g)
    return tool if g.uncertainty is None else replace(tool, uncertainty=g.uncertainty)


def _instrument(mandrel: Mandrel, shop: Shop, c: Characteristic, g: Given) -> instruments.Tool:
    places = {k.value: where for k, where in instruments.suited(mandrel, c)}
    if not g.instrument:
        tools = instruments.at_home(shop, mandrel, c)
        if not tools:
            raise _fault(
                f"{c.id}: no instrument of the shop file measures this",
                f"name one after an @, {g.id}={text_of(g.value)}@indicator, or write what the "
                f"shop's report said: {g.id}=pass@report",
            )
        return tools[0]
    try:
        tool = instruments.named(shop, g.instrument)
        if tool.kind in places:
            return instruments.named(shop, g.instrument, places[tool.kind])
    except NotHeldError as e:
        raise _fault(f"{c.id}: {e.message}", e.remedy) from e
    raise _fault(
        f"{c.id}: a {tool.kind} does not measure a {c.kind.value} here",
        f"use {', '.join(places)}" if places else f"write {g.id}=pass@report",
    )


def _plain_value(mandrel: Mandrel, c: Characteristic, g: Given, tool: instruments.Tool) -> float:
    """The reading as a size of the characteristic's kind; over wires: the pitch diameter."""
    if tool.kind != "wires":
        if g.wire is not None:
            raise _fault(
                f"{c.id}: a wire is named, but the instrument is {tool.name}",
                f"write {g.id}={text_of(g.value)}@wires:{text_of(g.wire)}",
            )
        check_size(c, g.value)
        return g.value
    if g.wire is None:
        raise _fault(
            f"{c.id}: over which wire?", f"write {g.id}={text_of(g.value)}@{tool.name}:0.455"
        )
    thread = next(t for t in mandrel.threads if t.feature == c.feature)
    d = thread.limits.designation
    if not wires.fits(g.wire, float(d.pitch)):
        raise _fault(
            f"{c.id}: a wire of {text_of(g.wire)} does not rest on the flanks of pitch "
            f"{text_of(float(d.pitch), 4)}",
            f"use {text_of(wires.LEAST * d.pitch)} to {text_of(wires.MOST * d.pitch)}",
        )
    try:
        value = wires.pitch_diameter(g.value, g.wire, float(d.pitch), d.lead)
    except ValueError as e:
        raise _fault(f"{c.id}: {e}", "check the reading and the wire") from e
    check_size(c, value)
    return value


def check_size(c: Characteristic, value: float) -> None:
    """Refuse what can only be a slip of the pen: more than 1 mm (and a tenth) outside the limits,
    or less than nothing. Raises InputError."""
    known = [x for x in (c.lower, c.upper) if x is not None]
    if not math.isfinite(value) or not known:
        raise _fault(f"{c.id} has no limits to compare a reading with", "leave it out")
    if value < 0:
        raise _fault(f"{c.id}: {text_of(value)} is below 0", "write the reading without a sign")
    need = c.lower is None and c.nominal == 0
    low, high = 0.0 if need else min(known), max(known)
    room = max(1.0, 0.1 * high)
    if not low - room <= value <= high + room:
        raise _fault(
            f"{c.id}: {text_of(value)} is far from {text_of(high)}; a slip of the pen?",
            f"check the id and the reading; {text_of(max(0.0, low - room))} to "
            f"{text_of(high + room)} {c.unit} is allowed",
        )


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _fault(message: str, remedy: str) -> InputError:
    return InputError.of(MARK, "reading", message, remedy)
