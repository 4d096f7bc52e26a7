"""A maker's first pen, nothing known of walls and seats: whoever presses the first button offered
gets to an order, and no advice sends them back to where they were."""

from __future__ import annotations

import html
import re
from pathlib import Path

from starlette.testclient import TestClient

from mandrelgen.spec.read import read_pen
from tests.support.page_client import client_of, first_part, next_part, words
from tests.support.thin_caps import SHOP, garganey

AT = "/pens/reed/mandrels"
BUTTON = re.compile(
    r'name="code" value="([^"]*)"><input type="hidden" name="where" value="([^"]*)">'
    r'<button class="remedy" name="says" value="([^"]*)">([^<]*)'
)


def begun(page: TestClient) -> None:
    """Cap, barrel and section as the small form takes them; then the barrel's thread for the cap.
    The section (⌀12 on M10) is too slim for a cup around its thread and too fat for the cap's
    thread (⌀11.69 free): wider would mend the one and worsen the other."""
    first_part(page, "cap", "M12.5x0.75 three starts", 14.5, 60)
    next_part(page, "barrel", "M10x0.75", 13.5, 75)
    next_part(page, "section", "M10x0.75", 12, 28)
    row = {"part": "barrel", "end": "mouth", "side": "external", "reach": "8"}
    page.post("/pens/reed/joints/thread", data=row | {"thread": "M12.5x0.75 three starts"})
    page.post("/shop", data={"system": "ISO 15488-25", "sizes": ["12", "14", "16"]})


def test_the_first_button_each_time_leads_to_an_order(tmp_path: Path) -> None:
    pressed: list[tuple[str, ...]] = []
    seen: set[bytes] = set()
    path = tmp_path / "reed.toml"
    with client_of(tmp_path) as page:
        begun(page)
        # Under mandrels, then what they say is to be looked at on the pen itself.
        while button := BUTTON.search(text := page.get(AT).text + page.get("/pens/reed/pen").text):
            assert path.read_bytes() not in seen, f"in a circle: {pressed}"
            seen.add(path.read_bytes())
            code, where, sent, said = map(html.unescape, button.groups())
            assert sent == said
            pressed.append((code, said))
            page.post(f"{AT}/mend", data={"code": code, "where": where, "says": sent})
            assert len(pressed) < 12, pressed
        shown = words(text)
    assert len(pressed) >= 3
    assert "all 2 close" in shown
    assert "4 Order ready" in shown
    section = read_pen(path.read_bytes(), "reed.toml").parts["section"]
    assert float(section.diameter) <= 11.588  # what passes M12.5x0.75 (6H: 11.688) with 0.1


def test_a_change_that_mends_several_has_its_button_once_and_the_others_refer_to_it(
    tmp_path: Path,
) -> None:
    """A thin cap's mouth and the seat on it want one size; the mouth is told under the pen too."""
    (tmp_path / "garganey.toml").write_bytes(garganey(14.2))
    (tmp_path / "shop.toml").write_bytes(SHOP)
    at = "/pens/garganey/mandrels"
    with client_of(tmp_path) as page:
        text = page.get(at).text
        buttons = [tuple(map(html.unescape, b.groups())) for b in BUTTON.finditer(text)]
        says = [says for *_, says, _ in buttons]
        assert len(set(says)) == len(says)
        both = next(b for b in buttons if ": mends both, at " in b[2])
        cards = re.findall(r'<a href="#m-([^"]+)">The button for it is above</a>', text)
        assert cards == ["cap-mouth-plug"] * 2  # at the seat, and once more under the pen
        assert (
            text.index('id="m-cap-mouth-plug"')
            < text.index("mends both, at ")
            < text.index('href="#m-')
        )
        done = page.post(
            f"{at}/mend", data=dict(zip(("code", "where", "says"), both, strict=False))
        ).text
        assert "The button for it is above" not in done
