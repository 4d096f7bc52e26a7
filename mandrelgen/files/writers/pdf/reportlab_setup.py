"""reportlab, imported so that no file and no variable of the user takes part.

``import reportlab`` runs ``~/.reportlab_mods`` and ``~/.reportlab_settings`` (and modules of those
names) and heeds variables ``RL_...``: the same input could give another page on another machine,
and where the home is a file the import even fails. While it is imported, empty modules stand in
for the two files, and the variables are hidden.
"""

from __future__ import annotations

import os
import sys
from types import ModuleType

_FILES = ("reportlab_mods", "reportlab_settings")


def load_reportlab() -> None:
    """Import reportlab, once; call it before any other import from there."""
    if "reportlab.rl_config" in sys.modules:
        return
    hidden = {name: os.environ.pop(name) for name in list(os.environ) if name.startswith("RL_")}
    ours = [name for name in _FILES if name not in sys.modules]
    sys.modules.update({name: ModuleType(name) for name in ours})
    try:
        import reportlab.rl_config  # noqa: F401
    finally:
        os.environ.update(hidden)
        for name in ours:
            del sys.modules[name]
