"""The papers that go with a mandrel and with a set: the turner's pages, the order."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence

from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.record_files import Entry
from mandrelgen.files.formats import Build
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Table
from mandrelgen.paper.reports import order_pages, quotation
from mandrelgen.paper.reports import turning_pages as pages
from mandrelgen.paper.reports.bench_card import bench_card
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import materials
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.parallel import Call, Crew, each
from mandrelgen.workshop.turning.turner_card import turner_card

# A zip's entries carry no clock: the earliest date the format knows.
ZIP_DATE = (1980, 1, 1, 0, 0, 0)
# What is packed already, and zlib's level for the rest: half the time of its own choice for 3 %
# more bytes.
PACKED = (".png", ".3mf")
LEVEL = 4


def turner_tables(mandrel: Mandrel, shop: Shop) -> tuple[Table, ...]:
    """The turner's pages and the inspection sheet, as tables behind the drawing."""
    return tuple(t for p in pages.tables(turner_card(mandrel, shop)) for t in _tables(p))


def request_of(
    checked: Checked, builds: Sequence[Build], entries: Sequence[Entry], date: str, wanted_by: str
) -> quotation.Request:
    """The request for what was published; ``wanted_by`` may be empty."""
    title = checked.inputs.pen.pen
    asked = [(b.mandrel, e.number, e.revision) for b, e in zip(builds, entries, strict=True)]
    return quotation.request(title.name, title.owner, date, asked, checked.inputs.shop, wanted_by)


def order_files(
    checked: Checked, builds: Sequence[Build], entries: Sequence[Entry], request: quotation.Request,
    name: str, crew: Crew,
) -> dict[str, bytes]:  # fmt: skip
    """Cover, request for quotation, e-mail text, bench card, and one zip to send. ``crew`` writes
    the pages, which loads the PDF library."""
    from mandrelgen.workflows.package import cover_page, table_pages

    inputs, title, date = checked.inputs, checked.inputs.pen.pen, request.date
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
    marks = {b.mandrel.id: f"{e.number} {e.revision}" for b, e in named}
    card = bench_card(inputs.pen, inputs.shop, checked.designed, marks)
    footer = f"{name}   {date}"
    asked = _tables(order_pages.request_page(request))
    own = _tables(order_pages.bench_page(card))
    calls = (
        Call(cover_page, (title.name, date, rows, name)),
        Call(table_pages, (request.title, footer, asked)),
        Call(table_pages, (f"Bench card: {title.name}", footer, own)),
    )
    cover, pages, bench = crew.run([each(c) for c in calls])
    sent = {
        "cover.pdf": cover,
        "request.pdf": pages,
        "request.txt": quotation.email(request).encode("utf-8"),
    }
    return {**sent, "bench-card.pdf": bench, f"{name}.zip": _zip(sent, builds, entries)}


def _zip(sent: Mapping[str, bytes], builds: Sequence[Build], entries: Sequence[Entry]) -> bytes:
    """What the turner gets: the papers, each fixture's drawing and models in a folder named by
    number and revision, and a manifest of everything in it."""
    from mandrelgen.archive.disk import store

    files = dict(sent)
    for b, e in zip(builds, entries, strict=True):
        for name in store.list_folder(e.folder):
            if name.startswith(b.stem):
                files[f"{b.stem}/{name}"] = store.read_file(e.folder / name)
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
