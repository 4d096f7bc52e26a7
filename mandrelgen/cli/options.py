"""Options that several commands have, each said once."""

from __future__ import annotations

from pathlib import Path

import click

FILE = click.Path(path_type=Path)

shop = click.option("--shop", type=FILE, help="Shop file; default: shop.toml beside the pen file.")
archive = click.option(
    "--to", "folder", type=FILE, default=Path("output"), help="Archive; default: output."
)
as_json = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
paper_date = click.option(
    "--date", "date", help="Date on the paper, 2026-05-31; default: the pen's, else today."
)
