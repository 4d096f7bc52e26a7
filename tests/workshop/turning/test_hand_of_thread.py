"""Hand × side × direction: the settings against the screw's kinematics, and against the pages."""

from __future__ import annotations

from itertools import product

import pytest

from mandrelgen.workshop.turning.hand_of_thread import running
from mandrelgen.workshop.turning.leaving import Lathe
from mandrelgen.workshop.turning.threading import card

# Kinematics of the screw, by hand: x to the right (away from the headstock), the spindle forward
# turns the top of the work towards the turner. A right-hand screw held so and fed to the left
# advances; each reversal changes the hand. Written out, not computed.
TABLE = {
    # left_hand, away: spindle
    (False, False): "forward",
    (False, True): "in reverse",
    (True, False): "in reverse",
    (True, True): "forward",
}


@pytest.mark.parametrize(("left", "external", "away"), list(product((False, True), repeat=3)))
def test_every_hand_side_and_direction(left: bool, external: bool, away: bool) -> None:
    r = running(left_hand=left, external=external, away=away)
    assert r.spindle == TABLE[left, away]
    # Only a spindle in reverse needs the tool the other way and loosens a chuck that screws on.
    backwards = r.spindle == "in reverse"
    assert ("turned over" in r.tool) == backwards
    assert ("chuck locked" in r.caution) == backwards
    # The tumbler goes with the hand alone: spindle and screw keep their relation when both reverse.
    assert ("left-hand" in r.tumbler) == left


@pytest.mark.parametrize("lowest", [1, 50, 5000])
@pytest.mark.parametrize("left", [False, True])
def test_the_pages_say_what_the_table_says(left: bool, lowest: int) -> None:
    """By lead screw under power or turned by hand, plug and cup."""
    for m, _ in _mandrels(left):
        for t in m.threads:
            leaving = card(m, t, Lathe(lowest, "3 mm", exact=True)).leaving
            assert leaving is not None
            advice = leaving.advice
            away = "away from the" in advice
            r = running(left_hand=left, external=t.form.external, away=away)
            assert r.text in advice
            other = "in reverse" if r.spindle == "forward" else "spindle forward"
            assert other not in advice
            # A blind bore is safer cut outwards, by the same table.
            assert bool(leaving.instead) == (not away and not t.form.external)
            out = running(left_hand=left, external=t.form.external, away=True)
            assert not leaving.instead or out.text in leaving.instead


def _mandrels(left: bool):  # type: ignore[no-untyped-def]
    from mandrelgen.assess.settled import designs
    from mandrelgen.spec.read import effective_shop, read_pen, read_shop
    from mandrelgen.spec.starters import starter

    data = starter("pen", "heron").decode()
    if left:
        for thread in ("M12xPh2.4P0.8", "M7x0.5", "M8.5x0.75", "M6.5x0.5"):
            for k in ("-6H", "-6g"):
                data = data.replace(f"{thread}{k}", f"{thread}{k}-LH")
    pen = read_pen(data.encode(), "heron.toml")
    shop = effective_shop(read_shop(starter("shop", "bench"), "shop.toml"), pen)
    found = [(d.mandrel, shop) for d in designs(pen, shop) if d.mandrel is not None]
    assert all(t.form.left_hand == left for m, _ in found for t in m.threads)
    assert {t.form.external for m, _ in found for t in m.threads} == {True, False}
    return found
