"""ezdxf, imported so that only our own font and no file of the user takes part.

``import ezdxf`` scans the system's fonts, writes a cache into the home folder and reads
``ezdxf.ini``: the same input could give another drawing on another machine. While it is imported,
its cache folder is the shipped one, which names no font; then our font is the only one.
"""

from __future__ import annotations

import json
import os
import random
from collections.abc import Iterator
from contextlib import contextmanager

from mandrelgen.core.resources import FONT, template_path


def _import() -> object:
    kept = {name: os.environ.get(name) for name in ("XDG_CACHE_HOME", "XDG_CONFIG_HOME")}
    fonts_folder = str(template_path("fonts"))
    os.environ["XDG_CACHE_HOME"] = fonts_folder
    os.environ["XDG_CONFIG_HOME"] = fonts_folder
    try:
        import ezdxf
        from ezdxf.fonts import fonts
    finally:
        for name, value in kept.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
    ezdxf.options.reset()
    # The name, style, weight and width class that the font's own tables say: reading them out of
    # the file at every start takes longer than a drawing.
    face = [str(template_path(FONT)), "DejaVu Sans Condensed", "Regular", 400, 4]
    fonts.font_manager.clear()
    fonts.font_manager.loads(json.dumps({"version": 2, "font-faces": [face]}))
    return ezdxf


_import()


@contextmanager
def repeatable() -> Iterator[None]:
    """ezdxf without time stamps, random ids and random hatch offsets, inside the block only."""
    import ezdxf

    state = random.getstate()
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    random.seed(0)
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
        random.setstate(state)
