"""Writes the list of keys into the README: python -m tests.support.key_page"""

from __future__ import annotations

import re

from mandrelgen.spec.key_list import page
from tests.paths import ROOT

README = ROOT / "README.md"
_PLACE = re.compile(r"(<!-- keys: [^\n]* -->\n).*?(<!-- end of keys -->)", re.DOTALL)


def in_readme() -> str:
    """The list as the README has it."""
    found = re.search(_PLACE.pattern, README.read_text("utf-8"), re.DOTALL)
    assert found, "the README has lost its list of keys"
    return found[0].removeprefix(found[1]).removesuffix(found[2])


if __name__ == "__main__":
    text = README.read_text("utf-8")
    README.write_text(_PLACE.sub(lambda m: m[1] + page() + m[2], text), "utf-8")
