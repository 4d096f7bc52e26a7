"""Two thousand damaged pen files through ``check``: a finding in words, or a design; never a
traceback, over 10 s or over 1 GB.

    python -m pytest tests/long/test_mutated_files.py -s
"""

from __future__ import annotations

import collections
import random
import resource
import time
from collections.abc import Callable

from mandrelgen import pipeline
from mandrelgen.errors import Finding, InputError, Level
from mandrelgen.reading import Inputs
from mandrelgen.spec.read import effective_shop, read_pen, read_shop, review
from mandrelgen.spec.starters import starter, starter_names

COUNT = 2000
SEED = 20260531
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


KINDS: list[Callable[[bytes, random.Random], bytes]] = [
    _bytes, _lines, _values, _cut, _encoding, _numbers,
]  # fmt: skip


def _outcome(data: bytes, shop: bytes) -> str:
    try:
        pen = read_pen(data, "pen.toml")
        whole = effective_shop(read_shop(shop, "shop.toml"), pen)
        findings = review(pen, whole, data, "pen.toml")
        if any(f.level is Level.ERROR for f in findings):
            raise InputError(findings)
    except InputError as e:
        _told(e.findings)
        return "refused"
    done = pipeline.check(Inputs(pen, whole, data, shop, findings))
    _told(done.findings)
    return "designed, with errors" if done.failed else "designed"


def _told(findings: tuple[Finding, ...]) -> None:
    """Every finding says what is wrong and how to mend it."""
    for f in findings:
        assert f.message
        assert f.remedy or f.level is Level.NOTE
        assert "Traceback" not in f.message


def test_damaged_files_are_told_in_words_quickly_and_in_little_memory() -> None:
    r = random.Random(SEED)
    mix: collections.Counter[str] = collections.Counter()
    slowest = 0.0
    for n in range(COUNT):
        name = r.choice(starter_names("pen"))
        shop = starter("shop", "small" if name == "bittern" else "bench")
        kind = KINDS[n % len(KINDS)]
        data = kind(starter("pen", name), r)
        start = time.perf_counter()
        mix[f"{kind.__name__[1:]}: {_outcome(data, shop)}"] += 1
        slowest = max(slowest, time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"\nseed {SEED}, slowest {slowest:.2f} s, peak {peak:.0f} MB: {dict(sorted(mix.items()))}"
    )
    assert slowest < 10
    assert peak < 1024
