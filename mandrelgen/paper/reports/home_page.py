"""The maker's page "when it arrives": what to try in which order, room for answers, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.paper.reports.grids import Grid, GridPage, Row, pairs
from mandrelgen.workshop.receipt.home_form import (
    AMOUNT_ALONE,
    COLLET,
    Answers,
    Form,
    Question,
    spans,
)

_BOX = {
    Answers.YES_NO: "yes / no",
    Answers.PLACES: "0 / 1 / 2 / 3 / 4",
    Answers.WHOSE: "mandrel / part",
    Answers.AMOUNT: "______ mm",
    Answers.PINS: "goes ____ stops ____",
}


def page(form: Form) -> GridPage:
    """The form of one mandrel, to be filled in by hand at the lathe."""
    sizes = [q for q in form.questions if q.takes is Answers.SIZE]
    runs = [q for q in form.questions if q.takes is Answers.RUN_OUT]
    pin = [q for q in form.questions if q.id == COLLET]
    tried = [q for q in form.questions if q not in (*sizes, *runs, *pin)]
    grids = [Grid("When it arrives", ("",), (1.0,), tuple((c,) for c in form.cautions))]
    if sizes:
        grids.append(_sizes(sizes))
    if tried:
        grids.append(_tried(tried))
    if runs:
        grids.append(_runs(runs, pin))
    grids.append(_word())
    return GridPage("arrival", "When it arrives", tuple(grids))


def _sizes(sizes: list[Question]) -> Grid:
    rows = tuple((spans(q.balloons), q.text, q.note, "", q.id) for q in sizes)
    return Grid(
        title="First the sizes", heads=("no.", "size", "limits", "I read", "type as"),
        widths=(0.07, 0.37, 0.18, 0.14, 0.24), rows=rows, ids=tuple(q.id for q in sizes),
    )  # fmt: skip


def _tried(tried: list[Question]) -> Grid:
    rows: list[Row] = []
    for test in dict.fromkeys(_group(q) for q in tried):
        mine = [q for q in tried if _group(q) == test]
        rows.append(_row(mine))
    return Grid(
        "Then by hand", ("no.", "try", "answer", "type as"), (0.09, 0.56, 0.19, 0.16), tuple(rows)
    )


def _group(q: Question) -> str:
    """Starts of one thread share a line."""
    return q.test if q.test.endswith("screws") else q.id


def _row(mine: list[Question]) -> Row:
    q = mine[0]
    text, answer, typed = q.text, _BOX[q.takes], q.id
    if len(mine) > 1:
        text = f"{text.rpartition(', entered')[0]}, entered in each of its {len(mine)} starts"
        answer = "   ".join(f"{n}: ____" for n in range(1, len(mine) + 1))
        typed = f"{q.id} to {mine[-1].id.rpartition('.')[2]}"
    return spans(q.balloons), text, answer, typed


def _runs(runs: list[Question], pin: list[Question]) -> Grid:
    rows: list[Row] = [("", _at(q), "________ mm", "", q.id) for q in pin]
    room = "________ mm at _____°"
    for test in dict.fromkeys(q.test for q in runs):
        q = next(q for q in runs if q.test == test)
        rows.append((spans(q.balloons), _at(q), room, room, f"{test}.1 and .2"))
    return Grid(
        "Then in my collet, turned by hand: run-out, and where it is highest from one mark",
        ("no.", "where", "as it is clamped", "mandrel turned half round", "type as"),
        (0.07, 0.31, 0.2, 0.2, 0.22), tuple(rows),
    )  # fmt: skip


def _at(q: Question) -> str:
    """Where the indicator stands, and what is to be heeded there."""
    where = q.text.partition(", as it is")[0].removeprefix("Run-out ")
    return f"{where} ({q.note})" if q.note else where


def _word() -> Grid:
    return pairs("What it says", tuple(_explained()))


def _explained() -> Iterator[Row]:
    yield ("by hand", "Shows that nothing binds and nothing holds the part off. Not that the "
           "thread is tight, nor that the face is square: play and run-out show that.")  # fmt: skip
    yield ("run-out", "Half of the vector difference is the mandrel's, half of the sum "
           f"the collet's. Without high spots {AMOUNT_ALONE}.")  # fmt: skip
    yield ("the word", "use it / rework / send back. Not before the part screws home by hand in "
           "every start, seats all round and the shank is clamped; without an indicator: use it, "
           "run-out not known. What does not go is asked about until a reading shows it "
           "outside")  # fmt: skip
    yield "tried", "on ______________, with the test piece / my part, by ______________"
