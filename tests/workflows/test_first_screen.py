"""What the first screen says once of several places."""

from __future__ import annotations

from mandrelgen.core.errors import Finding, Level
from mandrelgen.workflows.answers.first_screen import joined


def found(where: str, remedy: str) -> Finding:
    return Finding(
        level=Level.ERROR,
        code="pen.shoulder",
        where=where,
        message="the joint bottoms 1.01 short",
        remedy=remedy,
    )


def test_one_row_of_several_places_only_where_one_remedy_serves_all() -> None:
    """Two joints bottom by the same amount; each is tapped to its own depth."""
    alike = joined([found("cap", "turn it"), found("nib", "turn it")])
    assert [f.where for f in alike] == ["cap, nib"]
    apart = joined([found("cap", "tap 11.05 deep"), found("nib", "tap 7.05 deep")])
    assert [(f.where, f.remedy) for f in apart] == [
        ("cap", "tap 11.05 deep"),
        ("nib", "tap 7.05 deep"),
    ]
