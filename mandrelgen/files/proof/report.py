"""What is expected of a package's files, and the faults found in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from mandrelgen.core.errors import DesignError, Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import NOT_ISSUED, Mandrel

REMEDY = "this is a fault of the program: please report it; nothing was published"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a package must say: the mandrel and its half-section, the name it leaves under, pages
    of the PDF (0: not known), mass in grams, sheets of the drawing; ``card``: of each size on the
    maker's card its characteristic's id, its letter and what may be read."""

    mandrel: Mandrel
    profile: Profile
    number: str
    revision: str
    issued: bool
    pages: int
    mass_g: float
    sheets: int = 1
    card: tuple[tuple[str, str, str], ...] = ()

    @property
    def shown_number(self) -> str:
        """The number as paper shows it."""
        return self.number if self.issued else NOT_ISSUED


class ProofError(DesignError):
    """A file does not say what the design says (exit code 1). Carries every mismatch."""


@dataclass(frozen=True, slots=True)
class Case:
    """One file under examination; ``findings`` collects what is wrong with it, ``files`` are all
    of the package."""

    name: str
    data: bytes
    expected: Expected
    findings: list[Finding] = field(default_factory=list)
    files: Mapping[str, bytes] = field(default_factory=dict)

    @property
    def sheet(self) -> int:
        """Which sheet of the drawing a file of one sheet shows, by its name."""
        stem, dot, ending = self.name.rpartition(".")
        for n in range(2, self.expected.sheets + 1):
            if stem.endswith(f"_{n}") and stem.removesuffix(f"_{n}") + dot + ending in self.files:
                return n
        return 1

    def other_sheets(self) -> list[bytes]:
        """The files that show the drawing's further sheets; notes those that are missing."""
        stem, dot, ending = self.name.rpartition(".")
        names = [f"{stem}_{n}{dot}{ending}" for n in range(2, self.expected.sheets + 1)]
        for name in names:
            if name not in self.files:
                self.fault("sheets of the drawing", name, "it missing")
        return [self.files[n] for n in names if n in self.files]

    def fault(self, id: str, wanted: str, found: str) -> None:
        """Note a mismatch of ``id`` (a characteristic's, or the part of the file meant)."""
        message = f"{id}: expected {wanted}, found {found}"
        self.findings.append(
            Finding(
                level=Level.ERROR,
                code="proof.failed",
                where=self.name,
                message=message,
                remedy=REMEDY,
            )
        )

    def equal(self, id: str, wanted: object, found: object) -> bool:
        """Note a mismatch unless both are equal."""
        if wanted != found:
            self.fault(id, str(wanted), "nothing" if found is None else str(found))
        return wanted == found

    def near(self, id: str, wanted: float, found: float, within: float, unit: str = "mm") -> bool:
        """Note a mismatch unless both are within ``within`` of each other."""
        good = abs(wanted - found) <= within
        if not good:
            self.fault(id, f"{wanted:.6f} {unit} within {within:g}", f"{found:.6f} {unit}")
        return good
