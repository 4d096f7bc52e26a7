"""What a person chooses among in a pen file."""

from enum import StrEnum


class Manner(StrEnum):
    """How a thread, face or bore was cut."""

    FREEHAND = "freehand"
    GUIDED = "guided"
    SINGLE_POINT = "single-point"
    DRILLED = "drilled"
    REAMED = "reamed"
    BORED = "bored"


class Side(StrEnum):
    """Which way an end looks along the pen."""

    NIB = "nib"
    TAIL = "tail"


class Bottom(StrEnum):
    """How a bore ends."""

    DRILL_POINT = "drill-point"
    FLAT = "flat"
    THROUGH = "through"


class Fit(StrEnum):
    """Fit in words."""

    CLOSE = "close"
    NORMAL = "normal"
    FREE = "free"


class MandrelType(StrEnum):
    """What can be asked for."""

    PLUG = "plug"
    CUP = "cup"
    SPIGOT = "spigot"
    DOUBLE_ENDED = "double-ended"
    BUTTON = "tailstock-button"


class ThreadOrder(StrEnum):
    """How the turner is asked to make the thread."""

    SINGLE_POINT = "single-point"
    STOCK_TAP = "stock-tap"
    MY_TOOL = "my-tool"
    BLANK = "blank"


class ThreadRelief(StrEnum):
    """What lies behind a mandrel's thread, where it comes to its end."""

    GROOVE = "groove"
    NONE = "none"


class CentreHoles(StrEnum):
    """What the sheet says of centre holes."""

    NOSE = "nose"
    BOTH = "both"
    NONE = "none"


class FarEnd(StrEnum):
    """What the end away from the mandrel offers the tailstock."""

    PIP = "pip"
    BUTTON = "button"
    BORE = "bore"
    NOTHING = "nothing"


class DepthFrom(StrEnum):
    """Where depths of a thread count from."""

    FACE = "face"
    FLOOR = "floor"
