"""Two thousand damaged pen files through ``make --prove`` and ``verify``: a finding in words, or
packages whose every file is proved; never a traceback, over 10 s (of one core) or over 1 GB.

    python -m pytest tests/long/test_mutated_files.py [-n 0 -s] [--pens N] [--seed-of-pens S]

Bytes, lines, values, encodings and digits are damaged, files are cut, and words are written with
letters that look like others. They run in shares, so that every core has work; the mix is printed.
"""

from __future__ import annotations

import collections
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from mandrelgen.spec.starters import starter, starter_names
from tests.support.penroad import judge_file

SHARES = 20
ODD = [
    "0", "-1", "1e308", "1e-308", "nan", "inf", "9" * 400, '"x"', "[]", "{}", "true", '""',
    '"' + "y" * 5000 + '"', "1979-05-27", '"3/0 in"', '"M0x0"', '"M9x9"', '"М9x0.75"', '"\\u202e"',
    "[" * 60 + "]" * 60, '"../../etc"', '"%%c"', '"{\\\\fArial;x}"',
]  # fmt: skip


def _bytes(data: bytes, r: random.Random) -> bytes:
    out = bytearray(data)
    for _ in range(r.randint(1, 8)):
        out[r.randrange(len(out))] = r.randrange(256)
    return bytes(out)


def _lines(data: bytes, r: random.Random) -> bytes:
    lines = data.split(b"\n")
    for _ in range(r.randint(1, 5)):
        i, j = r.randrange(len(lines)), r.randrange(len(lines))
        act = r.randrange(3)
        if act == 0:
            del lines[i]
        elif act == 1:
            lines.insert(j, lines[i])
        else:
            lines[i], lines[j] = lines[j], lines[i]
    return b"\n".join(lines)


def _values(data: bytes, r: random.Random) -> bytes:
    lines = data.decode().split("\n")
    keyed = [i for i, x in enumerate(lines) if "=" in x and not x.startswith("#")]
    for i in r.sample(keyed, r.randint(1, 4)):
        lines[i] = lines[i].split("=")[0] + "= " + r.choice(ODD)
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _cut(data: bytes, r: random.Random) -> bytes:
    return data[: r.randrange(len(data))]


def _encoding(data: bytes, r: random.Random) -> bytes:
    return data.decode().encode(r.choice(["utf-16", "utf-8-sig", "utf-32", "cp037"]), "replace")


def _numbers(data: bytes, r: random.Random) -> bytes:
    text = list(data.decode())
    digits = [i for i, c in enumerate(text) if c.isdigit()]
    for i in r.sample(digits, r.randint(1, 6)):
        text[i] = r.choice("0123456789.-e")
    return "".join(text).encode()


LIKE = str.maketrans("aceopxyMABKHTO0l", "асеорхуМАВКНТОО1")  # Latin to Cyrillic, digits to letters


def _looks(data: bytes, r: random.Random) -> bytes:
    """Look-alike letters in quoted words: names, choices, threads."""
    parts = data.decode().split('"')
    inside = range(1, len(parts), 2)
    for i in r.sample(inside, min(len(inside), r.randint(1, 4))):
        parts[i] = parts[i].translate(LIKE)
    return '"'.join(parts).encode()


KINDS: list[Callable[[bytes, random.Random], bytes]] = [
    _bytes, _lines, _values, _cut, _encoding, _numbers, _looks,
]  # fmt: skip


@pytest.mark.parametrize("share", range(SHARES))
def test_damaged_files_are_told_in_words_or_give_proved_packages(
    tmp_path: Path,
    request: pytest.FixtureRequest,
    record_property: Callable[[str, object], None],
    share: int,
) -> None:
    count, first = (int(request.config.getoption(n)) for n in ("--pens", "--seed-of-pens"))
    r = random.Random(first + share)
    mix: collections.Counter[str] = collections.Counter()
    bad: list[str] = []
    for n in range(-(-count // SHARES)):
        name = r.choice(starter_names("pen"))
        kind = KINDS[n % len(KINDS)]
        folder = tmp_path / str(n)
        folder.mkdir()
        shop = starter("shop", "small" if name == "bittern" else "bench")
        (folder / "shop.toml").write_bytes(shop)
        file = folder / "pen.toml"
        file.write_bytes(kind(starter("pen", name), r))
        try:
            mix[f"{kind.__name__[1:]}: {judge_file(file, folder).split(':')[0]}"] += 1
        except AssertionError as e:
            bad.append(f"seed {first + share}, file {n} ({kind.__name__[1:]}): {e}")
            mix["BAD"] += 1
        shutil.rmtree(folder)
    told = f"damaged, seed {first + share}: {dict(sorted(mix.items()))}"
    print(f"\n{told}", flush=True)
    record_property("mix", told)
    assert not bad, "\n\n".join([told, *bad])
    if mix.total() >= 50:  # fewer may well all be refused
        assert sum(c for word, c in mix.items() if word.endswith("refused")) > 10, told
        assert sum(c for word, c in mix.items() if "packages" in word) > 2, told
