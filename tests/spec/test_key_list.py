"""The list of keys: complete, in words, and the same in the README."""

from __future__ import annotations

import json

import pytest

from mandrelgen.core.resources import template_path
from mandrelgen.spec.key_list import keys, page
from tests.support.key_page import in_readme


@pytest.mark.parametrize("kind", ["pen", "shop"])
def test_every_key_of_the_schema_is_listed_with_its_meaning(kind: str) -> None:
    """Against the published JSON Schema, which pydantic makes of the same models."""
    schema = json.loads(template_path(f"schema/{kind}.schema.json").read_text("utf-8"))
    tables = [schema, *schema["$defs"].values()]
    wanted = {key for table in tables for key in table.get("properties", {})}
    listed = {k.name for k in keys() if k.file == kind}
    assert listed >= wanted
    assert all(k.means for k in keys())


def test_what_is_needed_is_said_and_what_counts_otherwise() -> None:
    found = {k.path: k for k in keys() if k.file == "pen"}
    assert found["parts.<name>.length"].default == ""
    assert found["parts.<name>.ends.<name>.edge_break"].default == "0.2"
    assert found["joints.<name>.depth"].example.startswith("depth = ")


def test_a_word_finds_the_keys_that_have_to_do_with_it() -> None:
    paths = {k.path for k in keys("tailstock")}
    assert {"lathe.tailstock_height", "mandrels.use.tailstock"} <= paths
    assert keys("no such thing") == ()


def test_the_readme_has_the_same_list() -> None:
    assert in_readme() == page(), "run python -m tests.support.key_page"
