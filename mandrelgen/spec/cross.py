"""Everything in a pen and a shop that must agree, before anything is designed."""

from __future__ import annotations

from mandrelgen.spec.cross_refs import (
    Named,
    joint_remarks,
    mate_remarks,
    material_remarks,
    part_remarks,
    read_threads,
    request_remarks,
)
from mandrelgen.spec.cross_shop import instrument_remarks, shop_remarks, tool_remarks
from mandrelgen.spec.cross_short import inside_remarks, table_remarks, wanted_remarks
from mandrelgen.spec.cross_sizes import size_remarks
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.remark import Remark
from mandrelgen.spec.shop import Shop


def check_names(pen: Pen, named: Named | None = None) -> tuple[Remark, ...]:
    """References, thread texts, joints and requests.

    ``named``: the ends the file names, where ``pen`` holds only those that could be read.
    """
    known = named or Named.of(pen)
    threads, unread = read_threads(pen)
    return (
        *unread,
        *mate_remarks(pen, known),
        *joint_remarks(pen, threads),
        *table_remarks(pen, known),
        *wanted_remarks(pen, known),
        *inside_remarks(pen, known),
        *part_remarks(pen),
        *material_remarks(pen),
        *request_remarks(pen, known),
    )


def check_pen(pen: Pen) -> tuple[Remark, ...]:
    """Everything that can be told from the pen alone."""
    return (*check_names(pen), *size_remarks(pen, read_threads(pen)[0]))


def check_shop(shop: Shop) -> tuple[Remark, ...]:
    """Everything that can be told from the shop alone."""
    return tuple(shop_remarks(shop))


def check_together(pen: Pen, shop: Shop) -> tuple[Remark, ...]:
    """What a pen asks of the shop; the paths are the pen's."""
    return (*instrument_remarks(pen, shop), *tool_remarks(pen, shop))
