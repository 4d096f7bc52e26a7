"""Checks of a shop file, and of a pen against the shop."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.core.errors import Path
from mandrelgen.spec.cross_refs import end_path
from mandrelgen.spec.joints import EndRef
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.remark import Remark, shown
from mandrelgen.spec.shop import (
    ColletSet,
    InstrumentKind,
    Lathe,
    PrinterKind,
    PrinterSpec,
    Shop,
    ThreadTool,
)
from mandrelgen.standards import iso_15488
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.thread_spelling import read_thread

BUILT_IN = tuple(k.value for k in InstrumentKind)
"""Instruments every shop is taken to have."""


def shop_remarks(shop: Shop) -> Iterator[Remark]:
    """Each set of collets is known or described, and its sizes can be."""
    for i, collets in enumerate(shop.collets):
        yield from _collets(("collets", i), collets)
    for name, printer in shop.printers.items():
        yield from _printer(("printers", name), printer)
    yield from _readings(shop.lathe)
    for kind, tools in (("taps", shop.taps), ("dies", shop.dies)):
        seen: set[str] = set()
        for i, tool in enumerate(tools):
            yield from _tool((kind, i), kind, tool, seen)
            try:
                read_thread(tool.thread)
            except ThreadTextError as error:
                yield Remark("thread.text", (kind, i, "thread"), error.message, error.remedy)


def _readings(lathe: Lathe) -> Iterator[Remark]:
    """A collet's run-out is two readings."""
    both = {"run_out_nut": lathe.run_out_nut, "run_out_40": lathe.run_out_40}
    lacking = [k for k, v in both.items() if v is None]
    if len(lacking) == 1:
        given = next(k for k in both if k not in lacking)
        yield Remark(
            "lathe.readings",
            ("lathe", given),
            f"{given} is given and {lacking[0]} is not",
            f"read the pin at both places and add {lacking[0]} = …",
        )


def _tool(path: Path, kind: str, tool: ThreadTool, seen: set[str]) -> Iterator[Remark]:
    """A tap has a lead, a die incomplete threads; a short name is given once."""
    wrong, right = ("incomplete", "lead") if kind == "taps" else ("lead", "incomplete")
    if getattr(tool, wrong) is not None:
        yield Remark(
            "tool.key",
            (*path, wrong),
            f"a {kind[:-1]} has no {wrong}" if kind == "taps" else "a die has no lead",
            f"write {right} = … instead",
        )
    if tool.id is not None and tool.id in seen:
        yield Remark(
            "tool.id",
            (*path, "id"),
            f"{shown(tool.id)} is already the id of another",
            "give each of them an id of its own",
        )
    seen.add(tool.id or "")


def _printer(path: Path, printer: PrinterSpec) -> Iterator[Remark]:
    """A filament printer has a nozzle, a resin printer a pixel; layers are thinner than both."""
    fdm = printer.kind is PrinterKind.FDM
    wrong, other = ("pixel", "nozzle") if fdm else ("nozzle", "pixel")
    if getattr(printer, wrong) is not None:
        yield Remark(
            "printers.kind",
            (*path, wrong),
            f"a printer of kind {printer.kind.value} has no {wrong}",
            f"write {other} = … instead, or correct the kind",
        )
    for key, value, low, high in (
        ("nozzle", printer.nozzle, 0.1, 2.0),
        ("pixel", printer.pixel, 0.01, 0.5),
        ("layer", printer.layer, 0.005, 1.0),
        ("foot", printer.foot, 0.0, 1.0),
        ("least_wall", printer.least_wall, 0.1, 5.0),
        ("external_thread", printer.external_thread, 0.0, 1.0),
        ("internal_thread", printer.internal_thread, 0.0, 1.0),
    ):
        if value is not None and not low <= value <= high:
            yield Remark(
                "printers.size",
                (*path, key),
                f"{value.written} mm is not a printer's {key}",
                f"{low:g} to {high:g} mm is",
            )


def _collets(path: Path, collets: ColletSet) -> Iterator[Remark]:
    size = iso_15488.system_size(collets.system)
    if size is None:
        lacking = [k for k in ("length", "closes") if getattr(collets, k) is None]
        if lacking:
            yield Remark(
                "collets.system",
                (*path, "system"),
                f"{shown(collets.system)} is not a known system, and "
                f"{' and '.join(lacking)} {'is' if len(lacking) == 1 else 'are'} missing",
                "write the letters on the collet, "
                f"ER{', ER'.join(str(s.size) for s in iso_15488.sizes())} (ISO 15488), or add "
                "the gripping length and how far a collet closes",
            )
    known = iso_15488.collet_size(size) if size is not None else None
    seen: set[float] = set()
    for i, each in enumerate(collets.sizes):
        if float(each) in seen:
            yield Remark(
                "collets.twice",
                (*path, "sizes", i),
                f"the size {each.written} is listed twice",
                "take one away",
            )
        seen.add(float(each))
        if known is not None and not known.smallest <= each <= known.largest:
            yield Remark(
                "collets.size",
                (*path, "sizes", i),
                f"ISO 15488-{size} has no collet of {each.written}; "
                f"they go from {known.smallest:g} to {known.largest:g} mm",
                "correct the size or the system",
            )


def instrument_remarks(pen: Pen, shop: Shop) -> Iterator[Remark]:
    """Readings were taken with an instrument the shop has, or one every shop has."""
    known = (*shop.instruments, *BUILT_IN)
    for path, name in _used(pen):
        if name not in known:
            from mandrelgen.spec.legal import nearest

            guess = nearest(name, known)
            hint = f"did you mean '{guess}'? " if guess else ""
            yield Remark(
                "instrument.unknown",
                path,
                f"the shop has no instrument {shown(name)}",
                f"{hint}Known: {', '.join(dict.fromkeys(known))}; "
                f"or add [instruments.{name}] to the shop file",
            )


def tool_remarks(pen: Pen, shop: Shop) -> Iterator[Remark]:
    """Threads name taps and dies that the shop has."""
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            for side, thread, tools in (
                ("external", end.external, shop.dies),
                ("internal", end.internal, shop.taps),
            ):
                known = [t.id for t in tools if t.id]
                if thread is None or thread.tool is None or thread.tool in known:
                    continue
                kind = "die" if side == "external" else "tap"
                from mandrelgen.spec.legal import nearest

                guess = nearest(thread.tool, known)
                yield Remark(
                    "tool.unknown",
                    (*end_path(EndRef(part_id, end_id)), side, "tool"),
                    f"the shop has no {kind} {shown(thread.tool)}",
                    (f"did you mean '{guess}'? " if guess else "")
                    + f"add it under [[{kind}s]] in the shop file, with id = …",
                )


def _used(pen: Pen) -> Iterator[tuple[Path, str]]:
    """The instrument of every reading, with its place."""
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            path = end_path(EndRef(part_id, end_id))
            for side, thread in (("external", end.external), ("internal", end.internal)):
                if thread is not None and thread.measured is not None:
                    yield (*path, side, "measured", "instrument"), thread.measured.instrument
            for i, step in enumerate(end.bore):
                if step.measured is not None:
                    yield (*path, "bore", i, "measured", "instrument"), step.measured.instrument
