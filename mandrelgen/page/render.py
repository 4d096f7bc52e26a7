"""Templates to HTML: every text escaped, one frame for all pages."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.requests import Request
from starlette.responses import HTMLResponse

from mandrelgen.core.resources import template_path
from mandrelgen.core.tolerance import text_of
from mandrelgen.workflows.answers.spoken import SHOP, WISHES, spoken
from mandrelgen.workflows.answers.texts import say

FOLDER = "page"


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The templates that come with the program."""
    env = Environment(
        loader=FileSystemLoader(template_path(FOLDER)), autoescape=True,
        undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    env.filters["size"] = text_of
    env.filters["linked"] = linked
    env.filters["spoken"] = spoken
    env.globals["say"] = say
    return env


def linked(text: str) -> Markup:
    """A text in the maker's words, escaped, with links to where it sends a person."""
    out = str(escape(spoken(text)))
    for words, where in ((SHOP, "/shop"), (WISHES, "mandrels#wishes")):
        out = out.replace(words, f'<a href="{where}">{words}</a>')
    return Markup(out)


def page(request: Request, name: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A page; what a form of the page itself asks for is the work alone, without the frame; what
    is ``bare`` stands in a place of its own."""
    part = request.headers.get("hx-request") == "true"
    given = {"title": "", "notice": "", "fault": None, **values}
    whole = name if given.get("bare") else "work.html" if part else "frame.html"
    template = environment().get_template(whole)
    # A refused value is an answer too: the page shows it beside the box.
    return HTMLResponse(template.render(content=name, **given), 200 if part else status)
