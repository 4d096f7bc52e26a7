"""``book`` and ``orders``: where a fixture or a whole order stands, and what is outstanding."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive import events, index, orders, rounds, states
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.naming import MARKER, ORDERS, number_count, revision_folder
from mandrelgen.archive.record_files import RECORD, Entry
from mandrelgen.archive.records import Event, Order, OrderItem, Record, load
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import State
from mandrelgen.core.clock import date_of, day_after, plain_day
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.glyphs import char_name, undrawn
from mandrelgen.workflows.archives import archive_of, fault

DAY, AHEAD = "--date", "day.ahead"
"""Where the day of a booking is said, and the code of the fault that it is still to come."""
HIGHEST_PRICE = 1_000_000.0
LONGEST_LEAD = 730  # days
OUTSTANDING = (State.ASKED, State.QUOTED, State.ORDERED, State.SENT_BACK)
_PRICE = re.compile(r"(\d+(?:[.,]\d{1,2})?)\s*([A-Za-z]{3}|[£$€])?|([£$€])\s*(\d+(?:[.,]\d{1,2})?)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is said with a state: whom it was asked of, the price (``48.50 GBP``), the lead time in
    days, the day it is promised for (as `day_after` reads it), a note. Empty, None: nothing."""

    whom: str = ""
    price: str = ""
    lead: int | None = None
    promised: str = ""
    note: str = ""
    again: bool = False


@dataclass(frozen=True, slots=True)
class Booked:
    """What ``book`` did: the state, the fixtures it was noted of, those that had it already."""

    state: State
    changed: tuple[Entry, ...]
    kept: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """A fixture of an order; ``whom``, ``since``, ``promised``, ``price``: as last said of it;
    ``price_of_all``: said of the whole order."""

    number: str
    revision: str
    draft: int
    quantity: int
    state: State
    whom: str = ""
    since: str = ""
    promised: str = ""
    price: str = ""
    price_of_all: bool = False

    @property
    def name(self) -> str:
        """``MG-0001 A``."""
        return f"{self.number} {revision_folder(self.revision, self.draft)}"

    @property
    def told_whom(self) -> str:
        """The shop, as it belongs to the state."""
        return self.state.told_of(self.whom)

    @property
    def outstanding(self) -> bool:
        """True while somebody has to answer, make or send it."""
        return self.state in OUTSTANDING


@dataclass(frozen=True, slots=True)
class OrderStanding:
    """An order and how its fixtures stand; ``superseded_by``: the order in its place, if any."""

    order: Order
    lines: tuple[OrderLine, ...]
    superseded_by: str = ""

    @property
    def state(self) -> State:
        """How the order stands as a whole: as the fixture that is least far."""
        return min((x.state for x in self.lines), key=tuple(State).index)


def book(folder: Path, name: str, state: str, date: str | None, said: Said) -> Booked:
    """Note that a fixture (``MG-0001``, ``MG-0001:A``) or every fixture of an order is in a state.

    Raises InputError (an unknown name or state, one that cannot follow, a price, day or lead time
    out of range), DiskError.
    """
    archive = archive_of(folder)
    wanted = _state(state)
    entries, order = _fixtures(archive, name)
    day = date_of(date)
    data = _data(wanted, day, said) | ({"order": order} if order else {})
    changed = states.book(archive, entries, wanted, day, said.note, data, said.again)
    kept = tuple(e for e in entries if e.folder not in {c.folder for c in changed})
    return Booked(wanted, changed, kept)


def day_of(said: str) -> str:
    """The day on which something happened, as a person types it, as ISO 8601; empty: today. Raises
    InputError: it is no day, could be two, or is still to come."""
    today = date_of(None)
    day = date_of(plain_day(said)) if said.strip() else today
    if day > today:  # a slip here would bar every later booking
        raise fault(AHEAD, DAY, f"{day} is still to come",
                    "give the day it happened, today at the latest")  # fmt: skip
    return day


def _state(text: str) -> State:
    wanted = text.strip().lower().replace(" ", "-").replace("_", "-")
    names = [s for s in State if s is not State.DESIGNED]
    if wanted not in names:
        raise fault("state.unknown", text[:40], "that is no state",
                    f"states are {', '.join(s.value for s in names)}")  # fmt: skip
    return State(wanted)


def _fixtures(archive: Archive, name: str) -> tuple[tuple[Entry, ...], str]:
    """The fixtures a name stands for, and the order's name if it is one."""
    number, _, revision = name.partition(":")
    if number_count(archive.prefix, number) is not None:
        entry = (
            events.revision_of(archive, number, revision) if revision
            else events.current(archive, number)
        )  # fmt: skip
        return (entry,), ""
    id = Path(name).name
    path = archive.root / ORDERS / id / orders.ORDER
    if not id or not exists(path):
        raise fault("name.unknown", name[:80], "the archive has no fixture or order of that name",
                    "`mandrelgen orders` lists the orders, `find` the fixtures")  # fmt: skip
    order = load(Order, path)
    places = [(i, archive.root / i.number / revision_folder(i.revision, i.draft))
              for i in order.items]  # fmt: skip
    return tuple(Entry(p, load(Record, p / RECORD)) for _, p in places), order.id


def _data(state: State, day: str, said: Said) -> dict[str, Any]:
    """What is noted beside the state, judged."""
    for option, text in (("--whom", said.whom), ("--note", said.note)):
        if wrong := undrawn(text):
            raise fault("text.undrawn", option,
                        f"the paper cannot show {', '.join(char_name(c) for c in wrong[:5])}",
                        "write it with the letters of the keyboard, on one line")  # fmt: skip
        if len(text) > 200:
            raise fault("text.long", option, f"{len(text)} characters; at most 200 are kept",
                        "say it shorter")  # fmt: skip
    if state is State.ASKED and not said.whom.strip():
        raise fault("whom.missing", "--whom", "whom was it asked of?",
                    'name the shop: --whom "K. Tern"')  # fmt: skip
    data: dict[str, Any] = {}
    if said.whom.strip():
        data["whom"] = said.whom.strip()
    if said.price:
        amount, currency = price_of(said.price)
        data["price"] = f"{amount:.2f} {currency}".strip()
    if said.lead is not None:
        if not 0 <= said.lead <= LONGEST_LEAD:
            raise fault("lead.range", "--lead-days", f"{said.lead} days",
                        f"0 to {LONGEST_LEAD} days are allowed")  # fmt: skip
        data["lead_days"] = said.lead
    if said.promised:
        promised = date_of(day_after(said.promised, day), where="--promised")
        if promised < day:
            raise fault("promised.early", "--promised", f"{promised} is before {day}",
                        "a promise lies ahead: give a later day")  # fmt: skip
        data["promised"] = promised
    return data


def price_of(text: str) -> tuple[float, str]:
    """``48.50``, ``48,50 EUR`` or ``£48`` as amount and currency. Raises InputError."""
    m = _PRICE.fullmatch(text.strip())
    amount = float((m[1] or m[4]).replace(",", ".")) if m else math.nan
    if m is None or not 0 <= amount <= HIGHEST_PRICE:
        raise fault("price", "--price", f"'{text[:40]}' is no price",
                    f"write it as 48.50 or 48.50 EUR; 0 to {HIGHEST_PRICE:.0f} are allowed",
                    )  # fmt: skip
    return amount, (m[2] or m[3] or "").upper()


def standing(folder: Path, pen: str = "", told: bool = True) -> tuple[OrderStanding, ...]:
    """Every order of an archive (or of one ``pen``) and how it stands, the oldest first; without
    ``told``, what was said is read only of what is outstanding. Raises InputError, DiskError."""
    archive = archive_of(folder)
    read = orders.of_pen(archive, pen) if pen else orders.orders(archive)
    every = sorted(read, key=lambda o: (o.date, rounds.again(o), o.id))
    gone = {old: o.id for o in every for old in o.replaces}
    shared = rounds.shared(every, gone)
    if told:
        rows = [tuple(line(archive, o, i, shared) for i in o.items) for o in every]
    else:
        with index.opened(archive) as known:
            states = states_of(known)
        rows = [lines_of(archive, o, o.id not in gone, states, shared) for o in every]
    return tuple(
        OrderStanding(o, lines, gone.get(o.id, "")) for o, lines in zip(every, rows, strict=True)
    )


def unsent_orders(folder: Path, pen: str) -> int:
    """How many orders of a pen are made and not sent yet. Raises InputError, DiskError."""
    if not exists(folder / MARKER):
        return 0
    return len(orders.unsent(archive_of(folder), [pen]))


def titles(folder: Path, order: Order) -> tuple[str, ...]:
    """What each fixture of an order is, in words: its title and its thread; empty where its folder
    is gone. Raises InputError, DiskError."""
    root, out = archive_of(folder).root, []
    threads = {i["number"]: i["thread"] for i in order.facts.get("items", ())}
    for i in order.items:
        place = root / i.number / revision_folder(i.revision, i.draft) / RECORD
        title = load(Record, place).title if exists(place) else ""
        thread = threads.get(i.number, "plain")
        out.append(title if thread == "plain" else f"{title}, {thread}".removeprefix(", "))
    return tuple(out)


Known = Mapping[rounds.Item, State]
Shared = Mapping[rounds.Item, Sequence[str]]


def states_of(known: index.Index) -> Known:
    """How every fixture stands, by number, revision and draft. Raises DiskError."""
    return {
        (str(n), str(r), int(d)): State(s)
        for n, r, d, s in known.ask("SELECT number, revision, draft, state FROM fixture")
    }


def lines_of(
    archive: Archive, order: Order, live: bool, states: Known, shared: Shared
) -> tuple[OrderLine, ...]:
    """The fixtures of an order; what was said is read of those that are outstanding, if the order
    is ``live``, and of those that stand in several orders (``shared``: see `rounds`). One that
    ``states`` lacks counts as designed. Raises DiskError."""

    def row(i: OrderItem) -> OrderLine:
        state = states.get(rounds.item_key(i), State.DESIGNED)
        if live and (state in OUTSTANDING or rounds.item_key(i) in shared):
            return line(archive, order, i, shared)
        return OrderLine(number=i.number, revision=i.revision, draft=i.draft,
                         quantity=i.quantity, state=state)  # fmt: skip

    return tuple(map(row, order.items))


def line(archive: Archive, order: Order, item: OrderItem, shared: Shared) -> OrderLine:
    """A fixture as it stands in an order, with what was last said of it there. Raises DiskError."""
    past = orders.past_in(archive, order.id, item, shared)
    told = [e for _, e in past if e is not None]
    state, last = past[-1]
    return OrderLine(
        number=item.number, revision=item.revision, draft=item.draft, quantity=item.quantity,
        state=state, whom=last_said(told, "whom"), since="" if last is None else last.date,
        promised=promised_of(told), price=last_said(told, "price"),
        price_of_all=for_all(told),
    )  # fmt: skip


def last_said(told: Sequence[Event], key: str) -> str:
    """What these events said last under a key (``whom``, ``price``); empty: nothing."""
    return next((str(e.data[key]) for e in reversed(told) if e.data.get(key)), "")


def for_all(told: Sequence[Event]) -> bool:
    """Whether the price last said was said of a whole order."""
    priced = [e for e in told if e.data.get("price")]
    return bool(priced and priced[-1].data.get("order"))


def promised_of(told: Sequence[Event]) -> str:
    """The day last promised; else the day of the order and the lead time last named."""
    if promised := last_said(told, "promised"):
        return promised
    ordered = next((e for e in reversed(told) if e.kind.value == State.ORDERED.value), None)
    lead = next((e.data["lead_days"] for e in reversed(told) if "lead_days" in e.data), None)
    if ordered is None or not isinstance(lead, int):
        return ""
    return (datetime.date.fromisoformat(ordered.date) + datetime.timedelta(days=lead)).isoformat()
