"""The layer rule: a module imports only from what stands right of it; siblings never import each
other. Read from the source's own import statements."""

from __future__ import annotations

import ast
from pathlib import Path

import mandrelgen

ROOT = Path(mandrelgen.__file__).parent
RULE = (
    "cli → views → pipeline → archive | writers | proof → store → sheet | solid | mesh → profile "
    "→ checks → design → mechanics → mandrel | spec → standards → characteristic, toleranced "
    "→ units, errors → frozen"
)
# Rank and room of each top-level module or package; equal ranks with other rooms are siblings.
RANKS: dict[str, float] = {
    "__main__": -1, "cli": 0, "printcli": 0, "benchcli": 0, "findcli": 0,
    "cataloguecli": 0, "catalogue": 1.8,
    "findview": 0.5, "jsonview": 1, "textview": 1, "benchview": 1, "verdictview": 1.5,
    "receiveview": 1,
    "comparing": 1.5,
    "starting": 1, "asking": 1, "releasing": 1, "batch": 1,
    "making": 2, "ordering": 2.2, "building": 2.4, "printed": 2, "gauging": 1.5, "receiving": 2,
    "finding": 2, "reusing": 2,
    "pipeline": 2.5,
    "archive": 3, "writers": 3, "proof": 3,
    "reading": 4,
    "store": 5, "diskfaults": 6, "cachedisk": 6, "flushing": 6, "system": 6, "ezdxf_quiet": 6,
    "sheet": 7, "solid": 7, "mesh": 7,
    "brep": 7.5, "patches": 8, "printing": 8.5, "profile": 9,
    "checks": 10, "bench": 10.5, "design": 11, "mechanics": 12,
    "balloons": 12.5, "mandrel": 13, "spec": 13,
    "standards": 14,
    "characteristic": 15, "toleranced": 15, "resources": 15,
    "clock": 15, "workers": 15, "units": 16, "errors": 16, "frozen": 17,
}  # fmt: skip
HEAVY = {"OCP": {"solid"}, "cadquery": set(), "ezdxf": {"writers", "proof", "ezdxf_quiet"},
         "reportlab": {"writers"}, "xlsxwriter": {"writers"}, "jinja2": {"catalogue"},
         "pydantic": {"spec", "archive"}}  # fmt: skip


def _imports(path: Path) -> list[str]:
    found = []
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        # Imports for the type checker alone never run.
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            node.body = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            if node.module == "mandrelgen":
                found += [f"mandrelgen.{a.name}" for a in node.names]
            else:
                found.append(node.module)
    return found


def _room(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def _modules() -> list[Path]:
    return [p for p in sorted(ROOT.rglob("*.py")) if p.name != "__init__.py" or p.parent != ROOT]


def test_modules_import_only_from_what_stands_right_of_them() -> None:
    faults = []
    for path in _modules():
        room = _room(path)
        assert room in RANKS, f"{room} has no place in the layer rule: {RULE}"
        for name in _imports(path):
            if not name.startswith("mandrelgen."):
                continue
            other = name.split(".")[1]
            if other in (room, "__version__"):
                continue
            if RANKS[other] < RANKS[room]:
                faults.append(f"{path.name} ({room}) imports {other}")
            if RANKS[other] == RANKS[room] and RANKS[room] in (3, 7):
                faults.append(f"{path.name} ({room}) imports its sibling {other}")
    assert not faults, f"{faults}\nthe rule: {RULE}"


def test_heavy_libraries_stay_in_their_rooms() -> None:
    faults = []
    for path in _modules():
        for name in _imports(path):
            rooms = HEAVY.get(name.split(".")[0])
            if rooms is not None and _room(path) not in rooms:
                faults.append(f"{path.relative_to(ROOT)} imports {name}")
    assert not faults, f"{faults}\nthe rule: {RULE}"


def test_no_module_is_longer_than_400_lines() -> None:
    long = {
        str(p.relative_to(ROOT)): n
        for p in _modules()
        if (n := len(p.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long
