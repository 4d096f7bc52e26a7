"""The command ``keys``: what may be written into the files, in words and for programs."""

from __future__ import annotations

import json

from mandrelgen.spec.key_list import keys
from tests.support.commands import here


def test_every_key_is_listed_under_its_file() -> None:
    shown = here("keys").stdout
    for k in keys():
        assert f"  {k.path}\n      {k.means} (" in shown
    assert shown.index("pen file\n") < shown.index("shop file\n")


def test_a_word_lists_what_it_has_to_do_with() -> None:
    found = json.loads(here("keys", "spigot", "--json").stdout)
    assert {k["path"] for k in found} == {k.path for k in keys("spigot")}
    assert {"mandrels.defaults.spigot_length"} <= {k["path"] for k in found}
    told = here("keys", "zeppelin")
    assert told.returncode == 1
    assert "no key has to do with 'zeppelin'" in told.stdout
