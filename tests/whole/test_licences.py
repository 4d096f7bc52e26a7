"""The licences of everything that an installed mandrelgen needs, by SPDX identifier (SPDX License
List, as the packaging library carries it)."""

from __future__ import annotations

import re
from email.message import Message

import pytest
from packaging.licenses import InvalidLicenseExpression, canonicalize_license_expression

from tests.support.packages import CAD, NEEDED, closure

ALLOWED = {
    "MIT", "MIT-CMU", "HPND", "ISC", "0BSD", "BSD-2-Clause", "BSD-3-Clause", "Apache-2.0",
    "PSF-2.0", "Zlib", "CC0-1.0", "Unlicense", "MPL-2.0", "Apache-2.0 WITH LLVM-exception",
}  # fmt: skip
# What packages say that state no expression (PEP 639), in their licence field or classifiers; all
# that is found counts. BSD without a number of clauses is taken for the three-clause one.
WORDS = {
    r"Affero|\bAGPL": "AGPL-3.0-or-later",
    r"Lesser General Public|\bLGPL": "LGPL-3.0-or-later",
    r"GNU General Public|\bGPL": "GPL-3.0-or-later",
    r"\bApache\b": "Apache-2.0",
    r"\bBSD\b": "BSD-3-Clause",
    r"Python Software Foundation|\bPSF\b": "PSF-2.0",
    r"\bMIT\b": "MIT",
    r"Mozilla Public": "MPL-2.0",
}


def spdx(stated: Message) -> str:
    """What a package states, as an SPDX expression; empty if it states nothing known."""
    field = str(stated.get("License-Expression") or stated.get("License") or "")
    try:
        return str(canonicalize_license_expression(field))
    except InvalidLicenseExpression:
        kinds = [c for c in stated.get_all("Classifier", []) if c.startswith("License ::")]
        text = " ".join([*kinds, field[:200]])  # some give the whole text: its head names it
        return " AND ".join(i for word, i in WORDS.items() if re.search(word, text))


def refused(expression: str, kernel: bool) -> list[str]:
    """The parts of an expression that are not on the list; of an OR one allowed part is enough."""
    extra = {"LGPL-2.1-or-later", "LGPL-3.0-or-later"} if kernel else set()
    alternatives = [
        [p for p in re.split(r" AND ", way) if p.strip("() ") not in ALLOWED | extra]
        for way in expression.split(" OR ")
    ]
    return min(alternatives, key=len) if expression else ["nothing stated"]


@pytest.mark.cad
def test_every_package_we_need_has_a_licence_that_we_allow() -> None:
    everything, without = closure(NEEDED + CAD), closure(NEEDED)
    assert len(everything) > len(without) > len(NEEDED)
    faults = {
        name: (spdx(d.metadata), wrong)  # type: ignore[arg-type]
        for name, d in everything.items()
        if (wrong := refused(spdx(d.metadata), name not in without))  # type: ignore[arg-type]
    }
    assert faults == {}


@pytest.mark.parametrize(
    ("field", "text", "kernel"),
    [
        ("License-Expression", "AGPL-3.0-only", True),
        ("License-Expression", "MIT AND AGPL-3.0-or-later", True),
        ("License", "GNU Affero General Public License v3", True),
        ("Classifier", "License :: OSI Approved :: GNU Affero General Public License v3", True),
        ("License", "GPL", True),
        ("License", "LGPL-3.0-or-later", False),
        ("License", "Dual License", True),
        ("Summary", "says nothing", True),
    ],
)
def test_other_licences_are_refused(field: str, text: str, kernel: bool) -> None:
    stated = Message()
    stated[field] = text
    assert refused(spdx(stated), kernel)
