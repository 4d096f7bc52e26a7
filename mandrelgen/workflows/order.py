"""The set's order: what is asked for, its papers, and their place in the archive."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from pathlib import Path

from mandrelgen.archive import messages, orders, root, rounds
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.states import State, state_of
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.files.formats import SENT, names_among
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Table
from mandrelgen.paper.reports import home_page, order_pages, quotation
from mandrelgen.paper.reports import turning_pages as pages
from mandrelgen.paper.reports.plain_request import Contact, email, plain_request
from mandrelgen.paper.reports.plain_request import page as plain_request_page
from mandrelgen.spec.pen import Pen, Title
from mandrelgen.spec.placeholders import is_placeholder
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter_names
from mandrelgen.standards import materials
from mandrelgen.workflows.build import Build, accepted_in_full
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.made_before import made_before
from mandrelgen.workflows.make_options import MakeOptions
from mandrelgen.workflows.parallel import told
from mandrelgen.workshop.receipt.home_form import form_of
from mandrelgen.workshop.turning.turner_card import turner_card

# A zip's entries carry no clock: the earliest date the format knows.
ZIP_DATE = (1980, 1, 1, 0, 0, 0)
# What is packed already, and zlib's level for the rest: half the time of its own choice for 3 %
# more bytes.
PACKED = (".png", ".3mf")
LEVEL = 4


def turner_tables(mandrel: Mandrel, shop: Shop) -> tuple[Table, ...]:
    """The turner's pages, as tables."""
    return papers_beside(mandrel, shop)[0]


def papers_beside(mandrel: Mandrel, shop: Shop) -> tuple[tuple[Table, ...], tuple[Table, ...]]:
    """The turner's pages, and the maker's own as tables: what to try when it arrives, and the
    inspection sheet, each on a page of its own."""
    found = pages.tables(turner_card(mandrel, shop))
    arrival = _tables(home_page.page(form_of(mandrel, shop)))
    inspection = [t for p in found if p.id == "inspection" for t in _tables(p)]
    return (
        tuple(t for p in found if p.id != "inspection" for t in _tables(p)),
        (*arrival, replace(inspection[0], new_page=True), *inspection[1:]),
    )


def refuse_placeholders(title: Title) -> None:
    """Raises InputError where a starter's people, or blanks to fill in, would stand on the papers
    of somebody's own pen. The starters themselves keep their names."""
    if title.id in starter_names("pen"):
        return
    said = {k: getattr(title, k) for k in ("owner", "drawn_by", "approved_by")}
    faults = [
        Finding(
            level=Level.ERROR, code="order.placeholder", where=f"pen.{key}",
            message=f"'{text}' stands in for a name and would go on the drawings and the order",
            remedy="write your own, or take the line out",
        )
        for key, text in said.items() if is_placeholder(text)
    ]  # fmt: skip
    if faults:
        raise InputError(faults)


def publish_order(
    archive: root.Archive, checked: Checked, pairs: Sequence[tuple[Build, Entry]],
    options: MakeOptions, day: str, program: str, executor: Executor,
) -> tuple[Path | None, tuple[Finding, ...]]:  # fmt: skip
    """Publish the set's order, without what was ordered before (unless ``options.again``): its
    folder, None if nothing is left to order, and what is said of that. Nothing of a
    part that a fault holds back stands in any of its papers.

    Raises InputError, DiskError, WorkerError.
    """
    if not pairs:
        return None, ()
    request, whole = _plan(archive, checked, pairs, options, day)
    pens = orders.pens_of(archive, whole.pen, [e for _, e in pairs])
    asked = orders.asked_for(archive, pens, [e for _, e in pairs])
    kept = [
        (b, e) for b, e in pairs
        if options.again or b.mandrel.id in options.again_for
        or asked[e.number, e.record.design_hash] < b.mandrel.ordering.quantity
    ]  # fmt: skip
    # What is lost is asked for again by the same drawing; what was withdrawn needs the next one.
    kept = [(b, e) for b, e in kept if state_of(archive, e) is not State.WITHDRAWN]
    count = orders.repeats(archive, pens, [orders.order_item(e) for _, e in kept])
    if whole.existing is not None and not count:
        return whole.folder, ()
    said = tuple(messages.not_ordered(archive, [e for b, e in pairs if (b, e) not in kept]))
    if not kept:
        return None, said
    request, plan = _plan(archive, checked, kept, options, day, count)
    files = {}
    if not plan.existing:
        named = [b for b, _ in kept], [e for _, e in kept]
        before = made_before(archive, named[1])
        files = order_files(checked, *named, request, plan.id, executor, before)
        said = (*said, *_unsigned(checked, plan.id))
    replaces = () if options.again else orders.replaced_by(archive, pens, plan)
    order = orders.make_order(plan, day, program, replaces)
    return orders.publish_order(archive, plan, files, order), said


def _unsigned(checked: Checked, order: str) -> Iterator[Finding]:
    """A letter that names nobody gets no answer."""
    if not contact(checked.inputs.pen, checked.inputs.shop).name:
        yield Finding(
            level=Level.NOTE, code="order.unsigned", where=order,
            message="the request bears no name",
            remedy="write yours: name (and address, phone) in the shop file, or pen.owner",
        )  # fmt: skip


def _plan(
    archive: root.Archive, checked: Checked, pairs: Sequence[tuple[Build, Entry]],
    options: MakeOptions, day: str, count: int = 0,
) -> tuple[quotation.Request, orders.OrderPlan]:  # fmt: skip
    """What is asked for of these fixtures, and under which id; ``count``: how often one of them was
    ordered before."""
    title = checked.inputs.pen.pen
    asked = [(b.mandrel, e.number, e.revision) for b, e in pairs]
    request = quotation.request(
        title.name, title.owner, day, asked, checked.inputs.shop, options.wanted_day
    )
    items = [orders.order_item(e, b.mandrel.ordering.quantity) for b, e in pairs]
    facts = quotation.facts(request) | ({rounds.AGAIN: count} if count else {})
    return request, orders.assign_order(archive, title.id, items, facts, day)


def order_files(
    checked: Checked, builds: Sequence[Build], entries: Sequence[Entry], request: quotation.Request,
    name: str, executor: Executor, before: str = "",
) -> dict[str, bytes]:  # fmt: skip
    """Cover, request as e-mail text and page (plain, and strict beside it), one zip. ``before``:
    what the request says of those that were made before. ``executor`` writes the pages, which loads
    the PDF library. Raises WorkerError."""
    from mandrelgen.workflows.package import cover_page, table_pages

    inputs, title, day = checked.inputs, checked.inputs.pen.pen, request.date
    named = list(zip(builds, entries, strict=True))
    rows = tuple(
        (
            e.number,
            e.revision,
            b.mandrel.title,
            f"{b.mandrel.part}, {b.mandrel.end}",
            ", ".join(t.limits.designation.text for t in b.mandrel.threads) or "plain",
            b.mandrel.ordering.quantity,
            materials.material(b.mandrel.ordering.material).name,
            b.profile,
        )
        for b, e in named
    )
    footer = f"{name}   {day}"
    asks = contact(inputs.pen, inputs.shop)
    letter = plain_request(request, [b.mandrel for b in builds], asks, before)
    asked = _tables(plain_request_page(letter))
    strict = _tables(order_pages.request_page(request))
    with told():
        pages = (
            executor.submit(cover_page, title.name, day, rows, name, _known(named)),
            executor.submit(table_pages, letter.subject, footer, asked),
            executor.submit(table_pages, request.title, footer, strict),
        )
        cover, asking, strictly = (p.result() for p in pages)
    sent = {
        "cover.pdf": cover,
        "request.pdf": asking,
        "request.txt": email(letter).encode("utf-8"),
    }
    kept = {
        "request-strict.pdf": strictly,
        "request-strict.txt": quotation.email(request).encode("utf-8"),
    }
    return {**sent, **kept, f"{name}.zip": _zip(sent, builds, entries)}


def _known(named: Sequence[tuple[Build, Entry]]) -> tuple[tuple[str, str], ...]:
    """What the maker accepted, of which fixtures; what concerns several is said once."""
    of: dict[str, list[str]] = {}
    for b, e in named:
        for text in accepted_in_full(b.accepted):
            of.setdefault(text, []).append(e.number)
    return tuple((", ".join(numbers), text) for text, numbers in of.items())


def contact(pen: Pen, shop: Shop) -> Contact:
    """Who asks, as the pen and the shop file name them."""
    return Contact(pen.pen.owner or shop.name, shop.address, shop.phone)


def _zip(sent: Mapping[str, bytes], builds: Sequence[Build], entries: Sequence[Entry]) -> bytes:
    """What a turner opens: the papers, each fixture's drawing, STEP and outline in a folder named
    by number and revision, and a manifest of all of it. What is for printing, and the maker's
    own pages, stay at home."""
    from mandrelgen.archive.disk.files import list_folder, read_file

    files = dict(sent)
    for b, e in zip(builds, entries, strict=True):
        for name in names_among(b, SENT, list_folder(e.folder)).values():
            files[f"{b.stem}/{name}"] = read_file(e.folder / name)
    files[MANIFEST] = make_manifest(files).to_bytes()
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            _add(archive, name, data)
    return buffer.getvalue()


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    info = zipfile.ZipInfo(name, ZIP_DATE)
    packed = name.endswith(PACKED)
    info.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    archive.writestr(info, data, compresslevel=LEVEL)


def _tables(page: pages.GridPage) -> tuple[Table, ...]:
    """A page's grids and notes as sheet tables; its title goes before the first."""
    found = [
        Table(title=g.title, heads=g.heads, widths=g.widths, rows=g.rows, ids=g.ids)
        for g in page.grids
    ]
    if page.notes:
        notes = tuple((str(n), text) for n, text in enumerate(page.notes, 1))
        found.append(Table("Notes", ("No.", "Note"), (1, 16), notes))
    return tuple(found)
