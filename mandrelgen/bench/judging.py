"""Which rule judges a mandrel's thread, said alike on the sheet and in the request, and who brings
what it is judged with."""

from __future__ import annotations

from mandrelgen.frozen import dataclass
from mandrelgen.mandrel import ThreadData

LIMITS, SAMPLE = "limits", "sample part"


@dataclass(frozen=True, slots=True)
class Rule:
    """``judge``: the limits of the drawing, or the sample part; ``text`` says it in a sentence's
    end, ``supply`` who brings gauge, sample and tool."""

    judge: str
    text: str
    supply: str


def rule_of(t: ThreadData) -> Rule:
    """The rule for one thread, by how it is ordered."""
    external = t.limits.external
    if t.order == "my-tool":
        tool = "die" if external else "tap"
        return Rule(
            SAMPLE,
            f"cut with the customer's own {tool}, sent along in its holder, used as it comes; the "
            f"sample part judges: it screws {'on' if external else 'in'} by hand until it bears "
            f"on the seat all round, shake as the {tool} leaves it; limits are for information. "
            f"Else stop and ask: the customer answers for the {tool}",
            "all go back",
        )
    if t.order == "blank":
        return Rule(LIMITS, "left as a blank, judged by the blank's limits", "no gauge is needed")
    by = (
        "thread micrometer with small anvils, or ring gauge; wires only where they and the anvils "
        "find room"
        if external
        else "plug gauge"
    )
    gauge = "ring" if external else "plug"
    starts = t.limits.designation.starts
    several = f" (a {gauge} gauge would need the lead and {starts} starts)" if starts > 1 else ""
    return Rule(
        LIMITS,
        f"single-pointed, judged by the limits in its table ({by})",
        f"the shop brings gauge or instrument{several}; the customer's sample part is for trying "
        "and does not overrule the limits",
    )
