"""All words of the page stand in one file: no template holds any; no key is missing, or left
over."""

from __future__ import annotations

import ast
import re
import string
from html.parser import HTMLParser
from pathlib import Path

import pytest

from mandrelgen.workflows.answers.texts import say, text, texts
from tests.paths import ROOT, TEMPLATES

PAGES = sorted((TEMPLATES / "page").glob("*.html"))
CODE = [*(ROOT / "mandrelgen/page").glob("*.py"), *(ROOT / "mandrelgen/workflows").rglob("*.py")]
READ_ALOUD = ("aria-label", "title", "alt", "placeholder")
# Names, units and signs are no language's.
PLAIN = re.compile(r"mandrelgen|PDF|SVG|mm|[\W\d_]+")


class Words(HTMLParser):
    """The words a person reads or hears, of a template without its own language."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.quiet = 0
        self.feed(re.sub(r"\{%.*?%\}|\{#.*?#\}|\{\{.*?\}\}", " ", source, flags=re.DOTALL))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.quiet += tag in ("script", "style")
        self.found += [v for k, v in attrs if k in READ_ALOUD and v]

    def handle_endtag(self, tag: str) -> None:
        self.quiet -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self.quiet:
            self.found.append(data)


def literals(source: str) -> list[str]:
    """Words of a template that stand in it: between its tags, and as texts in its expressions that
    hold a blank between letters or begin with a capital."""
    shown = [PLAIN.sub("", w) and w.strip() for w in Words(source).found]
    inner = " ".join(re.findall(r"\{\{.*?\}\}|\{%.*?%\}", source, re.DOTALL))
    quoted = [q for q in re.findall(r"'([^']*)'", inner) if re.search(r"[a-z] [a-z]|^[A-Z]", q)]
    return [w for w in (*shown, *quoted) if w]


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_no_template_holds_a_word_that_people_read(page: Path) -> None:
    # What the program itself answers with is no text of the page: it is compared, not shown.
    known = {"yes or no", "use it", "send back"}
    assert set(literals(page.read_text("utf-8"))) <= known


def test_a_word_that_stands_in_a_template_would_be_found() -> None:
    found = literals("<p>Take {{ say('x') }}</p><a title='Go on'>{{ 'Made it' if x }}</a>")
    assert found == ["Take", "Go on", "Made it"]


def asked() -> tuple[set[str], set[str]]:
    """Keys that templates and code ask for: whole ones, and the beginnings of those put
    together."""
    whole: set[str] = set()
    heads: set[str] = set()
    for page in PAGES:
        source = page.read_text("utf-8")
        for key, more in re.findall(r"say\('([\w.-]+)'( ~)?", source):
            (heads if more else whole).add(key)
    for path in CODE:
        if path.name == "texts.py":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            called = getattr(node.func, "id", "") if isinstance(node, ast.Call) else ""
            if called == "label" and isinstance(node, ast.Call):
                (key,) = (a.value for a in node.args if isinstance(a, ast.Constant))
                whole.add(f"field.{key}")
            if called in ("text", "say") and isinstance(node, ast.Call):
                for part in ast.walk(node.args[0]):
                    if isinstance(part, ast.JoinedStr):
                        head = part.values[0]
                        assert isinstance(head, ast.Constant)
                        heads.add(str(head.value))
                    elif isinstance(part, ast.Constant) and "." in str(part.value):
                        whole.add(str(part.value))
    return whole, heads


def test_every_key_that_is_asked_for_is_there_and_none_is_left_over() -> None:
    known = {re.sub(r"\.(1|n)$", "", k) for k in texts()} | set(texts())
    whole, heads = asked()
    assert {k for k in whole if k not in known and not k.endswith(".")} == set()
    stems = {re.sub(r"\.(1|n)$", "", k) for k in texts()}
    assert {k for k in stems if k not in whole and not k.startswith(tuple(heads))} == set()


def test_every_text_can_be_filled_in_and_counts_come_in_pairs() -> None:
    for key, value in texts().items():
        names = [n for _, n, _, _ in string.Formatter().parse(value) if n is not None]
        assert all(n.isidentifier() for n in names), key
        if key.endswith(".1"):
            assert key.removesuffix("1") + "n" in texts()


def test_what_is_filled_in_is_escaped_and_a_count_chooses_its_text() -> None:
    assert "&lt;b&gt;" in say("pen.drop", part="<b>")
    assert text("steps.parts", 1) == "1 part"
    assert text("steps.parts", 3) == "3 parts"
