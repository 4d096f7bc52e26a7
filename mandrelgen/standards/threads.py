"""Limits of size of threads: metric by ISO 965-1, unified by ASME B1.1."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import lru_cache

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.lengths import MM_PER_INCH
from mandrelgen.core.tolerance import signed_text
from mandrelgen.standards import asme_b1_1, iso_965_1
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.tables import NotHeldError

# ISO 68-1: H = √3/2·P; d − d2 = 3/4·H; d − d1 = 5/4·H.
D2_FACTOR = 0.649519053
D1_FACTOR = 1.082531755
D3_FACTOR = 1.226869322
# A root rounded with R = 0.125 P lies H − 0.25 P below the pitch diameter.
ROOT_R125_FACTOR = 0.616025404
# ASME B1.13M: D max = D2 max + 11/12·H.
MAJOR_WORST_FACTOR = 0.793856621
MAX_FACTOR = 2.0
CHOSEN = ", with a chosen fundamental deviation"
# internal, external
DEFAULT_CLASS = {"M": ("6H", "6g"), "UN": ("2B", "2A")}
_INCH = float(MM_PER_INCH)
_CLASS = re.compile(r"^(\d)([A-Za-z])(?:(\d)([A-Za-z]))?$")


class ThreadLimitError(NotHeldError):
    """No limits can be given; ``message`` says what was asked, ``remedy`` what is allowed."""


@dataclass(frozen=True, slots=True)
class Band:
    """Limits of size in mm; None where the standard sets none."""

    min: float | None
    max: float | None


@dataclass(frozen=True, slots=True)
class Basic:
    """Basic sizes in mm (ISO 724, rounded to 0.001; ASME B1.1, to 0.0001 in)."""

    major: float
    pitch: float
    minor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadLimits:
    """Limits of one thread, mm.

    ``minor`` of an external thread: max is the flat-form limit D1 + es, min the root with
    R = 0.125 P. ``major`` of an internal thread: ``max`` is None for metric (ISO sets none).
    ``extended`` is true where the standard prints no row and the rule was extended; ``source``
    says so. ``factor`` multiplied the pitch diameter tolerance. ``measured`` names the elements
    (``major``, ``pitch``, ``minor``) that were replaced by measured limits.
    """

    designation: Designation
    external: bool
    tolerance_class: str
    basic: Basic
    major: Band
    pitch: Band
    minor: Band
    source: str
    extended: bool
    factor: float = 1.0
    measured: tuple[str, ...] = ()

    @property
    def lead_angle(self) -> float:
        """Lead angle at the basic pitch diameter, degrees."""
        return math.degrees(math.atan2(self.designation.lead, math.pi * self.basic.pitch))

    @property
    def crest(self) -> Band:
        """Limits of the crest: major diameter if external, minor diameter if internal."""
        return self.major if self.external else self.minor

    @property
    def major_max_worst(self) -> float:
        """Largest major diameter to reckon with, mm.

        External: its maximum. Internal: D2 max + 11/12·H (ASME B1.13M form; ISO sets none).
        """
        if self.major.max is not None:
            return self.major.max
        assert self.pitch.max is not None
        return self.pitch.max + MAJOR_WORST_FACTOR * self.designation.pitch

    @property
    def minor_min_worst(self) -> float:
        """Smallest minor diameter to reckon with, mm (external: root with R = 0.125 P)."""
        assert self.minor.min is not None
        return self.minor.min


def basic_sizes(designation: Designation) -> Basic:
    """Basic major, pitch and minor diameter, mm."""
    d, p = float(designation.diameter), float(designation.pitch)
    if designation.system == "M":
        return Basic(d, round(d - D2_FACTOR * p, 3), round(d - D1_FACTOR * p, 3))
    inch = asme_b1_1.rounded(d / _INCH, 4)
    pitch = asme_b1_1.rounded(inch - D2_FACTOR * p / _INCH, 4)
    minor = asme_b1_1.rounded(inch - D1_FACTOR * p / _INCH, 4)
    return Basic(inch * _INCH, pitch * _INCH, minor * _INCH)


@lru_cache(maxsize=256)  # a design asks for the same few again and again
def limits(
    designation: Designation, external: bool, tolerance_class: str = "", factor: float = 1.0
) -> ThreadLimits:
    """Limits of a thread, mm (ISO 965-1; ASME B1.1).

    ``tolerance_class`` "": the designation's, else 6g/6H (metric), 2A/2B (unified). ``factor``
    multiplies the pitch diameter tolerance (multi-start option, 1 = as single-start).
    Raises ThreadLimitError for a class, diameter or factor that is not held, saying what is.
    """
    if tolerance_class:
        klass = tolerance_class
    else:
        klass = designation.tolerance_class or DEFAULT_CLASS[designation.system][external]
    _check_factor(factor)
    if designation.system == "UN":
        return _unified(designation, external, klass, None, factor)
    pitch_grade, crest_grade, position = split_class(klass, external)
    cell = iso_965_1.deviation(position, float(designation.pitch))
    return _metric(designation, external, klass, (pitch_grade, crest_grade), cell, factor)


def limits_with_deviation(
    designation: Designation,
    external: bool,
    grade_class: str,
    deviation_um: float,
    factor: float = 1.0,
) -> ThreadLimits:
    """Limits with the grades of ``grade_class`` (``6g``, ``4g6g``, ``6H``, ``2A``) but the given
    fundamental deviation in µm: es (negative leaves play) if external, EI if internal.

    Raises ThreadLimitError as :func:`limits` does.
    """
    _check_factor(factor)
    if not math.isfinite(deviation_um):
        raise ThreadLimitError(f"a deviation of {deviation_um} µm is not a size", "give a number")
    if designation.system == "UN":
        return _unified(designation, external, grade_class, deviation_um, factor)
    pitch_grade, crest_grade, _ = split_class(grade_class, external)
    grades = f"{pitch_grade}" if pitch_grade == crest_grade else f"{pitch_grade}/{crest_grade}"
    name = f"{grades} ({'es' if external else 'EI'} {signed_text(deviation_um)} µm)"
    _check_metric(designation)
    t = _metric_limits(
        designation,
        external,
        name,
        (pitch_grade, crest_grade),
        deviation_um,
        published=True,
        factor=factor,
    )
    return replace(t, source=t.source + CHOSEN)


def split_class(klass: str, external: bool) -> tuple[int, int, str]:
    """Pitch-diameter grade, crest grade and position of a metric class (``4g6g`` → 4, 6, g).

    Raises ThreadLimitError naming the classes that are held.
    """
    if external:
        allowed = (
            "external classes are pitch grade 3-9 and crest grade 4, 6 or 8 "
            "in position e, f, g or h, such as 6g, 4h, 4g6g"
        )
        pitch_grades = set(iso_965_1.STEPS_PITCH_EXTERNAL)
        crest_grades, positions = set(iso_965_1.STEPS_CREST_EXTERNAL), iso_965_1.POSITIONS_EXTERNAL
    else:
        allowed = "internal classes are grades 4-8 in position G or H, such as 6H, 5H, 4H5H"
        pitch_grades = set(iso_965_1.STEPS_PITCH_INTERNAL)
        crest_grades, positions = set(iso_965_1.STEPS_CREST_INTERNAL), iso_965_1.POSITIONS_INTERNAL
    side = "external" if external else "internal"
    refuse = ThreadLimitError(f"'{klass}' is not a class for an {side} metric thread", allowed)
    m = _CLASS.match(klass)
    if m is None or m[2] not in positions or (m[4] or m[2]) != m[2]:
        raise refuse
    pitch_grade, crest_grade = int(m[1]), int(m[3] or m[1])
    if pitch_grade not in pitch_grades or crest_grade not in crest_grades:
        raise refuse
    return pitch_grade, crest_grade, m[2]


def stress_area(designation: Designation) -> float:
    """Nominal stress area, mm²: π/4·((d2 + d3)/2)² (ISO 898-1), basic sizes unrounded."""
    d, p = float(designation.diameter), float(designation.pitch)
    return math.pi / 4 * (d - (D2_FACTOR + D3_FACTOR) / 2 * p) ** 2


def iso_engagement(designation: Designation) -> iso_965_1.Engagement:
    """Normal length of engagement of a metric thread, mm. Raises ThreadLimitError off its range."""
    _check_metric(designation)
    return iso_965_1.engagement(float(designation.diameter), float(designation.pitch))


def _check_factor(factor: float) -> None:
    if not 1.0 <= factor <= MAX_FACTOR:
        raise ThreadLimitError(
            f"a tolerance factor of {factor:g} is not allowed",
            f"use 1 (as single-start) to {MAX_FACTOR:g}",
        )


def coarsest_pitch(diameter: float) -> float:
    """The coarsest pitch (mm) that limits are given for at a metric diameter (mm): just above the
    share that M1x0.25 has, the greatest of ISO 261's coarse ones; 4.5 at most, as M42 and M45."""
    return min(4.5, diameter / 3.9)


def _check_metric(designation: Designation) -> None:
    d, p = float(designation.diameter), float(designation.pitch)
    if designation.system != "M":
        raise ThreadLimitError(f"{designation.text} is not a metric thread", "use a metric thread")
    if not iso_965_1.SMALLEST < d <= iso_965_1.LARGEST:
        raise ThreadLimitError(
            f"no tolerances are held for {designation.text}", "metric threads M1 to M45 are"
        )
    if not 0.2 <= p <= coarsest_pitch(d):
        raise ThreadLimitError(
            f"no tolerances can be given for pitch {p:g} mm at diameter {d:g} mm",
            "the pitch must be 0.2 to 4.5 mm and no coarser than coarse",
        )


def _metric(
    designation: Designation, external: bool, klass: str, grades: tuple[int, int],
    cell: iso_965_1.PrintedCell, factor: float,
) -> ThreadLimits:  # fmt: skip
    _check_metric(designation)
    return _metric_limits(designation, external, klass, grades, cell.value, cell.published, factor)


def _metric_limits(
    designation: Designation, external: bool, klass: str, grades: tuple[int, int],
    deviation_um: float, published: bool, factor: float,
) -> ThreadLimits:  # fmt: skip
    basic = basic_sizes(designation)
    d, p = float(designation.diameter), float(designation.pitch)
    on_pitch = iso_965_1.pitch_tolerance(external, d, p, grades[0])
    on_crest = iso_965_1.crest_tolerance(external, p, grades[1])
    t_pitch, t_crest = round(on_pitch.value * factor), on_crest.value
    shift = deviation_um / 1000
    if external:
        pitch_min = _mm(basic.pitch + shift - t_pitch / 1000)
        major = Band(_mm(basic.major + shift - t_crest / 1000), _mm(basic.major + shift))
        pitch = Band(pitch_min, _mm(basic.pitch + shift))
        minor = Band(_mm(pitch_min - ROOT_R125_FACTOR * p), _mm(basic.minor + shift))
    else:
        major = Band(_mm(basic.major + shift), None)
        pitch = Band(_mm(basic.pitch + shift), _mm(basic.pitch + shift + t_pitch / 1000))
        minor = Band(_mm(basic.minor + shift), _mm(basic.minor + shift + t_crest / 1000))
    printed = published and on_pitch.published and on_crest.published
    source = "ISO 965-1:2013" if printed else iso_965_1.RULE_EXTENDED
    return ThreadLimits(
        designation=designation,
        external=external,
        tolerance_class=klass,
        basic=basic,
        major=major,
        pitch=pitch,
        minor=minor,
        source=source,
        extended=not printed,
        factor=factor,
    )


def _mm(value: float) -> float:
    """Without binary noise."""
    return round(value, 9)


def _unified(
    designation: Designation, external: bool, klass: str, deviation_um: float | None, factor: float
) -> ThreadLimits:
    letter = "A" if external else "B"
    if klass not in asme_b1_1.CLASSES or not klass.endswith(letter):
        side = "external" if external else "internal"
        raise ThreadLimitError(
            f"'{klass}' is not a class held for an {side} unified thread",
            f"use 2{letter} or 3{letter}",
        )
    inch, tpi = float(designation.diameter) / _INCH, designation.threads_per_inch
    if not (0.06 <= inch <= 2 and 4 <= tpi <= 80):
        raise ThreadLimitError(
            f"no tolerances are held for {designation.text}",
            "unified threads #0 to 2 inch with 4 to 80 threads per inch are",
        )
    length = asme_b1_1.engagement_length(inch, tpi, designation.series)
    if external:
        es = None if deviation_um is None else -deviation_um / 1000 / _INCH
        got = asme_b1_1.external(inch, tpi, length, klass, es, factor)
    else:
        ei = (deviation_um or 0.0) / 1000 / _INCH
        got = asme_b1_1.internal(inch, tpi, length, klass, ei, factor)
    crest, pitch, root = (
        Band(_mm(low * _INCH), _mm(high * _INCH)) for low, high in (got.crest, got.pitch, got.root)
    )
    major, minor = (crest, root) if external else (root, crest)
    name, source = klass, asme_b1_1.SOURCE
    if deviation_um is not None:
        source += CHOSEN
        name = f"{klass} ({'es' if external else 'EI'} {signed_text(deviation_um)} µm)"
    basic = basic_sizes(designation)
    return ThreadLimits(
        designation=designation,
        external=external,
        tolerance_class=name,
        basic=basic,
        major=major,
        pitch=pitch,
        minor=minor,
        source=source,
        extended=False,
        factor=factor,
    )
