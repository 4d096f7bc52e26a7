"""Where the checkout and its templates are, for tests."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
TEMPLATES = ROOT / "templates"
GOLDEN = ROOT / "tests" / "golden"
