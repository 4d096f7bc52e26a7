"""How each step of a pen stands, in a word or two."""

from __future__ import annotations

from mandrelgen.assess.words import Word, summary
from mandrelgen.core.errors import Level
from mandrelgen.page.seen import STEPS, Seen
from mandrelgen.paper.pen_drawing import facts
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.arrived import on_the_way
from mandrelgen.workflows.booking import unsent_orders
from mandrelgen.workflows.reuse import unsent


def steps(seen: Seen) -> tuple[tuple[str, str, str], ...]:
    """Each step: id, name, its state."""
    errors = sum(s.level == "error" for s in seen.found)
    answers = seen.look.answers
    says = {
        "pen": text("steps.parts", len(seen.pen.parts)),
        "joints": text("steps.mend", errors) if errors else _joints(seen),
        "mandrels": summary(answers) if answers else text("steps.none_yet"),
        "arrived": _arrived(seen),
        "order": _order(seen),
    }
    return tuple((id, text(f"steps.{id}"), says[id]) for id in STEPS)


def _arrived(seen: Seen) -> str:
    if not seen.pieces:
        return text("steps.nothing_made")
    come = [p for p in seen.pieces if p.come]
    more = on_the_way(seen.desk.archive, str(seen.pen.pen.id), seen.pieces)
    if not come:
        return text("steps.coming", more) if more else text("steps.none_come")
    waiting = sum(not p.checked for p in come)
    says = text("steps.to_check", waiting) if waiting else text("steps.all_checked")
    return f"{says}; {text('steps.on_way', more)}" if more else says


def _order(seen: Seen) -> str:
    if seen.stops:
        return text("steps.not_yet", len(seen.stops))
    if not seen.ordered:
        asked = [c.said for c in seen.cards if c.issued]
        if anew := unsent_orders(seen.desk.archive, str(seen.pen.pen.id)):
            asked = [text("steps.again_made", anew), *asked]
        told = [a for a in dict.fromkeys(asked) if a != Word.HAVE.value]
        return ", ".join(told) or text("steps.no_order")
    made = len({c.id for c in seen.ordered} & unsent(seen.look.checked, seen.desk.archive))
    if made == len(seen.ordered):
        says = text("steps.made")
    elif made:
        says = text("steps.part_made", n=made, of=len(seen.ordered))
    else:
        says = text("steps.can" if seen.doubts else "steps.ready")
    look = [text("steps.look_first", len(seen.doubts))] if seen.doubts else []
    return "; ".join([says, *look])


def _joints(seen: Seen) -> str:
    """How the joints stand: those that the file does not join count before those that close."""
    loose = seen.loose
    open_ = sum(j.grade != facts.GOOD for j in seen.joints)
    if loose:
        return text("steps.to_join", loose)
    if open_:
        taken = {s.where for s in seen.found if s.reason}
        known = all(j.id in taken for j in seen.joints if j.grade != facts.GOOD)
        stuck = any(j.grade == Level.ERROR.value for j in seen.joints)
        word = (
            ("accepted" if known else "open")
            if stuck
            else ("may_accepted" if known else "may_open")
        )
        return text(f"steps.{word}", open_, of=len(seen.joints))
    return text("steps.closed", len(seen.joints)) if seen.joints else text("steps.no_joint")
