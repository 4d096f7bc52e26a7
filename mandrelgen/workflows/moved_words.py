"""Which mandrels have another word, come or go with a change of the pen or the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from mandrelgen.assess.words import Answer
    from mandrelgen.workflows.bench_look import Look


class Stands(NamedTuple):
    """How a part is held by one mandrel: at which of its ends, and the mandrel's answer."""

    end: str
    answer: Answer

    @property
    def key(self) -> tuple[str, str]:
        """What a maker would see change."""
        return self.end, self.answer.said


class MovedWord(NamedTuple):
    """A part's mandrel before and now; None where there is none. ``name``: the part's id, or the
    mandrel's where the part has several."""

    name: str
    was: Stands | None
    now: Stands | None


def moved_words(before: Look, after: Look) -> tuple[MovedWord, ...]:
    """Every mandrel that is held by another end, has another word, came or went, in the order of
    the pen as it is now."""
    old, new = _stands(before), _stands(after)
    found: list[MovedWord] = []
    for part in dict.fromkeys((*new, *old)):
        was, now = old.get(part, {}), new.get(part, {})
        if max(len(was), len(now)) == 1:
            rows = [MovedWord(part, _only(was), _only(now))]
        else:
            ids = dict.fromkeys((*now, *was))
            rows = [MovedWord(id, was.get(id), now.get(id)) for id in ids]
        found += [r for r in rows if _key(r.was) != _key(r.now)]
    return tuple(found)


def _stands(look: Look) -> dict[str, dict[str, Stands]]:
    """By part, then by mandrel."""
    found: dict[str, dict[str, Stands]] = {}
    planned = {d.planned.id: d.planned for d in look.checked.designed}
    for a in look.answers:
        p = planned[a.planned]
        for hold in (p.hold, p.other):
            if hold is not None:
                found.setdefault(hold.part, {})[p.id] = Stands(hold.end, a)
    return found


def _only(row: dict[str, Stands]) -> Stands | None:
    return next(iter(row.values()), None)


def _key(s: Stands | None) -> tuple[str, str] | None:
    return None if s is None else s.key
