"""The card of the test pieces as titles and tables of text; nothing is computed."""

from __future__ import annotations

from mandrelgen.assess.words import Word
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.paper.reports.grids import Grid, GridPage, Row
from mandrelgen.paper.reports.route_card import MADE, mouth
from mandrelgen.workshop.home.reference_pieces import HEAD, Piece, ReferencePieces, ThreadPieces

HEADS = ("make two", "of", "how", "measure before", "tries")
WIDTHS = (0.1, 0.17, 0.4, 0.15, 0.18)


def pieces_page(r: ReferencePieces) -> GridPage:
    """The card, one page."""
    return GridPage(
        "pieces",
        f"Test pieces: {r.pen}",
        tuple(
            Grid(_title(t), HEADS if n == 0 else ("",) * 5, WIDTHS,
                 tuple(_row(p) for p in t.pieces))
            for n, t in enumerate(r.threads)
        ),
        (*_how(r), *r.cautions, ALWAYS),
    )  # fmt: skip


ALWAYS = (
    "The lathe maker's instructions and local rules come first; if in doubt ask a qualified "
    "person. Eye protection, no gloves; spindle locked for tap and die."
)


def _title(t: ThreadPieces) -> str:
    several = f", {t.starts} starts" if t.starts > 1 else ""
    return f"{t.thread}{several}{', left hand' if t.left_hand else ''}"


def _row(p: Piece) -> Row:
    kind = "ring" if p.ring else "stud"
    measure = "-"
    if p.low is not None and p.high is not None:
        what = "the tap: hole" if p.ring else "the die: tenon"
        measure = f"{what} ⌀{lower_limit_text(p.low, 2)} to {upper_limit_text(p.high, 2)}"
    tool = "" if p.owned else f" ({'tap' if p.ring else 'die'} not in your shop file)"
    return (kind, f"rod of {p.part}: {p.made_of}, ⌀{text_of(p.rod)} as it comes",
            (_ring(p) if p.ring else _stud(p)) + tool, measure, _tries(p))  # fmt: skip


def _long(p: Piece) -> str:
    threaded = "" if p.counterbore is None else " of thread"
    return f"{text_of(p.length)} ({text_of(p.pitches, 1)} pitches{threaded})"


def _ring(p: Piece) -> str:
    hole = f"{MADE.get(p.made, p.made)} ⌀{text_of(p.turned)} through"
    if p.unsaid:
        hole += " (the pen file does not say the hole)"
    cb = "" if p.counterbore is None else (
        f"; counterbore ⌀{text_of(p.counterbore[0])} × {text_of(p.counterbore[1])}"
    )  # fmt: skip
    if p.countersink is not None:
        cb += f"; {mouth(*p.countersink)}"
    return f"face; {hole}{cb}; tap right through, as you tap {p.part}; part off at {_long(p)}"


def _stud(p: Piece) -> str:
    return (
        f"face; tenon ⌀{text_of(p.turned, 2)} × {_long(p)}; die up to the shoulder, as you cut "
        f"{p.part}; part off {text_of(HEAD)} behind the shoulder, the head to turn it by"
    )


def _tries(p: Piece) -> str:
    """Where the two go, by what is done about the mandrel."""
    sent = [t.name for t in p.tried if t.word is Word.ORDER]
    own = [t.name for t in p.tried if t.word is not Word.ORDER]
    said = [f"one goes with {', '.join(sent)}, one stays"] if sent else []
    if own:
        said.append(f"{', '.join(own)}: yours, both stay" if not sent else f"and {', '.join(own)}")
    return "; ".join(said) or "no mandrel needs it: leave it out, or keep both to compare later"


def _how(r: ReferencePieces) -> tuple[str, ...]:
    """How to cut, mark, keep and use them."""
    starts = " in every start" if any(t.starts > 1 for t in r.threads) else ""
    return (
        "A test piece is a ring with the thread, cut with the tap that cuts it in your pen, or a "
        "stud, cut with the die. A pitch is from one crest to the next.",
        "Cut both in one go, with the tool, lubricant and guidance you use for the parts; face and "
        "thread in one chucking. Deburr; polish nothing.",
        "Mark the back, never the face that seats: scratch thread, date and 1 or 2. No spirit pen "
        "on resin. Keep the second in a labelled bag, with its own counterpart, dry and cool.",
        f"A mandrel that arrives: the test piece screws on by hand{starts}, comes up to the seat, "
        "and four strips of cigarette paper are held all round. Then your own test piece does the "
        "same. If only one does, the test pieces differ: try the part.",
        "Later: a new test piece beside the old one tells a worn die (loose in the old ring) and "
        "another batch of rod (tight). They are no gauges: they prove no size.",
        f"Sequence of operations and lengths: {r.source}.",
    )
