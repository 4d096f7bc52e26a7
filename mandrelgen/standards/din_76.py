"""DIN 76-1: undercuts and run-outs of threads, by pitch (fine threads too)."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.standards.tables import NotHeldError, citation, load, records


class Undercut(NamedTuple):
    """The undercuts for one pitch, mm: groove diameter = thread diameter + ``dg``.

    ``g1`` is the straight length (at least), ``g2`` the whole width (at most), ``r`` the corner
    radius. Forms A and C are normal, B and D short. The flank on the thread side stands at 30° to
    the axis (from memory). ``extended``: interpolated, no published row; ``source`` says so.
    """

    pitch: float
    external: bool
    dg: float
    g1_normal: float
    g1_short: float
    g2_normal: float
    g2_short: float
    r: float
    source: str
    extended: bool

    def tolerance(self, diameter: float) -> str:
        """Tolerance class of the groove diameter for a thread of that diameter in mm."""
        if not self.external:
            return "H13"
        return "h12" if diameter <= 3 else "h13"

    def designation(self, short: bool = False) -> str:
        """As a drawing calls it up: ``DIN 76-1 - A`` (B, C, D)."""
        forms = "AB" if self.external else "CD"
        return f"DIN 76-1 - {forms[short]}"


class RunOut(NamedTuple):
    """Run-outs, mm: ``x`` tool run-out, ``a`` full thread to shoulder, ``e`` in a blind hole."""

    pitch: float
    x_normal: float
    x_short: float
    a_normal: float
    a_short: float
    e_normal: float
    e_short: float
    e_long: float
    source: str
    extended: bool


def external(pitch: float) -> Undercut:
    """Undercuts A (normal) and B (short) of an external thread, by pitch in mm.

    A pitch between two rows is interpolated and says so. Raises NotHeldError outside the table.
    """
    return _undercut("din_76_1_external", pitch, "AB")


def internal(pitch: float) -> Undercut:
    """Undercuts C (normal) and D (short) of an internal thread; as :func:`external`."""
    return _undercut("din_76_1_internal", pitch, "CD")


def run_out(pitch: float) -> RunOut:
    """Run-outs for a pitch in mm. Raises NotHeldError outside the table.

    A multi-start thread's tool runs out over its lead, not its pitch. The designer asks for the
    room that its own dies and taps take (`cutting.rule`), not for these.
    """
    row, source, extended = _lookup("din_76_1_run_out", pitch)
    return RunOut(
        pitch=pitch,
        x_normal=row["x1"],
        x_short=row["x2"],
        a_normal=row["a1"],
        a_short=row["a2"],
        e_normal=row["e1"],
        e_short=row["e2"],
        e_long=row["e3"],
        source=source,
        extended=extended,
    )


def _undercut(table: str, pitch: float, forms: str) -> Undercut:
    row, source, extended = _lookup(table, pitch)
    normal, short = forms[0], forms[1]
    return Undercut(
        pitch=pitch,
        external=forms == "AB",
        dg=row["dg"],
        g1_normal=row[f"g1_{normal}"],
        g1_short=row[f"g1_{short}"],
        g2_normal=row[f"g2_{normal}"],
        g2_short=row[f"g2_{short}"],
        r=row["r"],
        source=source,
        extended=extended,
    )


def _lookup(table: str, pitch: float) -> tuple[dict[str, float], str, bool]:
    rows = records(table)
    cited = citation(load(table))
    low, high = rows[0]["P"], rows[-1]["P"]
    if not low <= pitch <= high:
        raise NotHeldError(
            f"DIN 76-1 is not held for pitch {pitch:g} mm", f"pitches {low:g} to {high:g} mm are"
        )
    for row in rows:
        if abs(row["P"] - pitch) < 1e-6:
            return row, cited, False
    above = next(i for i, row in enumerate(rows) if row["P"] > pitch)
    a, b = rows[above - 1], rows[above]
    share = (pitch - a["P"]) / (b["P"] - a["P"])
    between = {k: round(a[k] + share * (b[k] - a[k]), 3) for k in a if k in b}
    note = f"{cited}: no row for P {pitch:g}, interpolated between P {a['P']:g} and {b['P']:g}"
    return between, note, True
