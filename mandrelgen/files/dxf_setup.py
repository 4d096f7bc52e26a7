"""ezdxf, imported so that no file of the user takes part."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

from mandrelgen.core.resources import template_path

# Its import scans the system's fonts for their widths and keeps them in the home folder, unless a
# list of fonts is there: the one shipped names none, and nothing here asks ezdxf for a width.
_kept = os.environ.get("XDG_CACHE_HOME")
os.environ["XDG_CACHE_HOME"] = str(template_path("fonts"))
try:
    import ezdxf
    import ezdxf.fonts.fonts
finally:
    if _kept is None:
        del os.environ["XDG_CACHE_HOME"]
    else:
        os.environ["XDG_CACHE_HOME"] = _kept
# Its import also reads `ezdxf.ini` here and in the home folder, which may change what is written.
ezdxf.options.reset()


@contextmanager
def repeatable() -> Iterator[None]:
    """ezdxf without time stamps and random ids, inside the block only."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
