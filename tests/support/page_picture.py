"""Takes the README's picture of the bench page anew: python -m tests.support.page_picture"""

from __future__ import annotations

import base64
import tempfile
import time
from pathlib import Path

from tests.paths import ROOT
from tests.support.bench_hands import settled, window
from tests.support.bench_page import folder_with, served
from tests.support.cataloguing import browser

PICTURE = ROOT / "output" / "page.png"
WIDTH = 1400


def taken() -> bytes:
    """The first step of a starter pen, light, as PNG."""
    with tempfile.TemporaryDirectory() as own:
        folder = folder_with(Path(own), "heron")
        with served(str(folder), env={"XDG_STATE_HOME": own}) as found:
            for tab in browser():
                window(tab, WIDTH)
                tab.get(found.address)
                tab.get(f"{found.base}/pens/heron/pen")
                settled(tab)
                tab.execute_cdp_cmd("Emulation.setScrollbarsHidden", {"hidden": True})
                time.sleep(0.5)
                shot = tab.execute_cdp_cmd("Page.captureScreenshot", {"format": "png"})
    return base64.b64decode(shot["data"])


if __name__ == "__main__":
    PICTURE.write_bytes(taken())
