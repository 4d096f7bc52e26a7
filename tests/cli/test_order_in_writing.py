"""``papers --order``: what orders the parts of a request, after a price was booked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mandrelgen.cli.app import main
from mandrelgen.spec.starters import starter
from tests.support.killing import without_drawings


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The heron's pen and shop, its set in an archive, a request of all of it."""
    without_drawings(monkeypatch)
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    (tmp_path / "pen.toml").write_bytes(starter("pen", "heron"))
    assert run(tmp_path, "make", str(tmp_path / "pen.toml"), "--workers", "1").exit_code == 0
    return tmp_path


def run(folder: Path, *args: str) -> Result:
    return CliRunner().invoke(main, [*args, "--to", str(folder / "output")])


def papers(folder: Path, order: str, *args: str) -> Result:
    return run(folder, "papers", str(folder / "pen.toml"), "--order", order, *args)


def only_order(folder: Path) -> str:
    (found,) = (folder / "output" / "orders").iterdir()
    return found.name


def test_no_price_no_order(folder: Path) -> None:
    order = only_order(folder)
    done = papers(folder, order)
    assert done.exit_code == 2
    assert f"mandrelgen book {order} quoted --price 48.50" in done.stderr.replace("\n      ", " ")
    assert done.stdout == ""


def test_the_order_is_written_with_price_and_day(folder: Path) -> None:
    order = only_order(folder)
    run(folder, "book", order, "asked", "--whom", "the mill")
    said = ("--price", "148.50 EUR", "--promised", "2999-01-31")
    assert run(folder, "book", order, "quoted", *said).exit_code == 0
    done = papers(folder, order)
    assert done.exit_code == 0, done.output
    text = " ".join(done.stdout.split())
    assert f"Subject: Order {order}" in text
    assert "Price as agreed: 148.50 EUR for all of it." in text
    assert "Delivery as agreed: 2999-01-31." in text
    assert "This order releases the drawings" in text
    as_json = json.loads(papers(folder, order, "--json").stdout)
    assert as_json == {"order": order, "email": done.stdout}


def test_another_pens_order_is_refused_and_the_own_named(folder: Path) -> None:
    order = only_order(folder)
    done = papers(folder, "ORD-none")
    assert done.exit_code == 2
    assert f"its orders: {order}" in done.stderr
    (folder / "pen.toml").write_bytes(starter("pen", "wren"))
    done = papers(folder, order)
    assert done.exit_code == 2
    assert "the pen wren has no order of that name" in " ".join(done.stderr.split())
