"""The clear text of ISO 10303-21: numbers, strings, and instances numbered as they come."""

from __future__ import annotations

from collections.abc import Iterable

# Coordinates and directions nearer to 0 are rounding (mm, or a share of 1).
_NOISE = 1e-13


def real(value: float) -> str:
    """A real number: always with a point, its exponent with an upper-case E. 15 digits."""
    if abs(value) < _NOISE:
        return "0."
    text = f"{value:.15g}"
    mantissa, e, exponent = text.partition("e")
    if "." not in mantissa:
        mantissa += "."
    return f"{mantissa}E{exponent}" if e else mantissa


def string(text: str) -> str:
    """A string in its quotes: apostrophes and backslashes doubled, whatever is not printable ASCII
    as \\X2\\ and four hexadecimal digits (\\X4\\ and eight beyond the basic plane)."""
    out = []
    for char in text:
        code = ord(char)
        if char in "'\\":
            out.append(2 * char)
        elif 32 <= code < 127:
            out.append(char)
        elif code <= 0xFFFF:
            out.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            out.append(f"\\X4\\{code:08X}\\X0\\")
    return f"'{''.join(out)}'"


def listed(items: Iterable[str]) -> str:
    """A list in its brackets."""
    return f"({','.join(items)})"


class Instances:
    """The data section under construction: instances get names #1, #2, … as they are added."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self._shared: dict[str, str] = {}

    def add(self, text: str) -> str:
        """A new instance; its name."""
        name = f"#{len(self.lines) + 1}"
        self.lines.append(f"{name}={text};")
        return name

    def shared(self, text: str) -> str:
        """The instance that reads ``text``, written once: for points, directions and placements,
        whose identity says nothing."""
        name = self._shared.get(text)
        if name is None:
            name = self._shared[text] = self.add(text)
        return name


def file(header: Iterable[str], data: Instances) -> bytes:
    """The exchange structure of header entities and a data section."""
    lines = ["ISO-10303-21;", "HEADER;", *header, "ENDSEC;", "DATA;", *data.lines, "ENDSEC;"]
    return "\n".join([*lines, "END-ISO-10303-21;", ""]).encode("ascii")
