"""A thread that is known by calipers alone: what to ask, what the readings say, what is taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mandrelgen.core.errors import InputError
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.thread_finder import Found, Reading
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows.answers import found_thread
from mandrelgen.workflows.thread_limits import find_thread

QUESTIONS = {
    "crest": "Diameter over the crests of the tenon",
    "minor": "Smallest bore of the tapped hole",
    "ten": "Length over ten crests, from one to the tenth after it (or: 5.25 over 7)",
    "starts": "Starts, counted at the end of the thread",
    "root": "Root diameter of the tenon, with the knife edges",
    "lead": "How far one turn screws it in",
}
"""What is asked, in order; the last two only where they would decide."""
DIAMETERS, FIRST = ("crest", "minor"), ("ten", "starts")


@dataclass(slots=True)
class Answers:
    """Readings as they were typed, by kind."""

    typed: dict[str, str] = field(default_factory=dict)

    def take(self, kind: str, text: str) -> str:
        """One reading, kept if it can be read. Raises InputError."""
        bare = text.strip().strip(",;")
        one = f"{kind}={bare}"
        # A diameter is always with it, or the finder asks for one.
        find_thread(one if kind in DIAMETERS else f"crest=10, {one}")
        self.typed[kind] = bare
        return bare

    def found(self) -> Found:
        """The threads that agree. Raises InputError if no diameter was read."""
        return find_thread("; ".join(f"{k}={v}" for k, v in self.typed.items()))


def next_question(found: Found, answers: Answers) -> str:
    """The reading that would decide, if it was not taken yet; else empty, as where readings
    contradict one another."""
    if found_thread.contradicted(found):
        return ""
    return found.decides if found.decides and found.decides not in answers.typed else ""


def choices(found: Found) -> tuple[str, ...]:
    """The candidates that are shown, best first."""
    return tuple(m.candidate.designation.text for m in found.matches[: found_thread.SHOWN])


def chosen(found: Found, text: str) -> str:
    """A candidate by its number in the list, or any thread as typed. Raises InputError."""
    shown = choices(found)
    if text.isdecimal():
        if 1 <= int(text) <= len(shown):
            return shown[int(text) - 1]
        raise _refused(f"there is no number {text[:9]}", f"1 to {len(shown)}, or a thread")
    try:
        read_thread(text)
    except ValueError as e:
        raise _refused(str(e), f"a number from 1 to {len(shown)}, or a thread") from e
    return text.strip()


def decided(readings: str, where: str) -> tuple[str, Mapping[str, Reading]]:
    """The one thread that agrees with every reading. Raises InputError that says which agree and
    what would decide."""
    found = find_thread(readings)
    if len(found.within) == 1:
        return found.within[0].candidate.designation.text, found.readings
    says = found_thread.verdict(found)
    raise _refused(
        f"{where}: {says[0]}",
        " ".join((*says[1:], "Nearest:", ", ".join(choices(found)) or "none")),
    )


def thread_or_readings(text: str) -> Designation:
    """A thread as typed, or the one that readings (``crest=9.32, ten=7.5, starts=1``) decide.
    Raises ValueError that says what is wrong, or what would decide."""
    if "=" not in text:
        return read_thread(text)
    try:
        return read_thread(decided(text, "by calipers")[0])
    except InputError as e:
        raise ValueError("; ".join(f"{f.message} {f.remedy}" for f in e.findings)) from e


def _refused(message: str, remedy: str) -> InputError:
    return InputError.of("thread.measured", "measured", message, remedy)
