"""From the bytes of a file to TOML values, with a plain sentence for everything that fails."""

from __future__ import annotations

import re
import tomllib
from typing import NamedTuple

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.spec.glyphs import char_name, foreign_letters

MAX_BYTES = 1_000_000
_RETRY_BELOW = 100_000
_MOST_FAULTS = 20
_POSITION = re.compile(
    r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<col>\d+)|end of.*)\)$", re.DOTALL
)
_ONE_LINE_PAIR = re.compile(r"^\s*[^\[\]{}\"'=#]+=(?!.*(?:\"\"\"|'''))[^\[\]{}]*$")

_SAYINGS: tuple[tuple[str, str, str], ...] = (
    (r"Cannot overwrite a value", "this key is given a second time", "keep one of the two lines"),
    (r"Cannot declare", "this table stands in the file twice", "put its keys under one heading"),
    (
        r"Cannot mutate|Duplicate inline",
        "this key or table was already given in another form",
        "write it in one place only",
    ),
    (
        r"Expected '=' after a key",
        "a key must be followed by = and a value",
        "write key = value; keys have letters a-z, digits, - and _, no blanks",
    ),
    (
        r"Expected newline or end of document",
        "something is left over after the value",
        'one key = value on a line; put a text such as "3/8 in" in double quotes',
    ),
    (
        r"Invalid value",
        "the value cannot be read",
        "put texts in double quotes; numbers are written 12.5, truth values true or false",
    ),
    (
        r"Invalid statement|Invalid initial character",
        "this line is neither key = value, nor a [table], nor a # remark",
        "write key = value, or begin the line with # to make it a remark",
    ),
    (
        r"Unterminated string|Illegal character '\\n'|Expected \"\"\"|Expected '''",
        "a text is not closed",
        "close the text with the quote it was opened with, on the same line",
    ),
    (
        r"Unclosed array|Unclosed inline table",
        "a list or an inline table is not closed",
        "close a list with ] and an inline table with }; an inline table stays on one line",
    ),
    (
        r"Expected '\]'|Expected '\]\]'",
        "the table heading is not closed",
        "close the heading: [parts.cap], or [[collets]] for an entry of a list",
    ),
    (
        r"Unescaped '|Invalid hex|Escaped character",
        "a backslash in a text means something special",
        "write \\\\ for a backslash, or put the text in single quotes",
    ),
    (r"Illegal character", "there is a control character here", "delete the invisible character"),
)

_MOST_PARTS = 100
# So many parts of a key, each taken whole (no way back into it), beginning where one begins.
_DOTTED = re.compile(
    r"""(?<![\w-])(?:(?:[A-Za-z0-9_-]++|"[^"]{0,200}+"|'[^']{0,200}+')[ \t]*+\.[ \t]*+){100}"""
)


class SyntaxFault(NamedTuple):
    """A place that is not TOML: line and column (from 1), or line 0 if unknown."""

    line: int
    column: int
    message: str
    remedy: str

    def finding(self, name: str) -> Finding:
        """As a finding of the file ``name``."""
        where = f"{name}:{self.line} column {self.column}" if self.line else name
        return Finding(
            level=Level.ERROR,
            code="file.syntax",
            where=where,
            message=self.message,
            remedy=self.remedy,
        )


def decode(data: bytes, name: str) -> str:
    """The text of a file. Raises InputError if it is no UTF-8 text of at most 1 MB."""
    fault = _unreadable(data)
    if fault is None:
        try:
            text = data.decode("utf-8").removeprefix("\ufeff")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            fault = (
                f"line {line} holds the byte 0x{data[error.start]:02X}, which is not UTF-8 text",
                "save the file as UTF-8 (the editor's 'save as' dialogue has the choice)",
            )
        else:
            if text.strip():
                return text
            fault = ("the file is empty", "begin from a starter file")
    raise InputError([Finding(Level.ERROR, "file.unreadable", name, *fault)])


def _unreadable(data: bytes) -> tuple[str, str] | None:
    if len(data) > MAX_BYTES:
        return (
            f"the file has {len(data):,} bytes; allowed are {MAX_BYTES:,}",
            "give a pen or shop file written by hand; is this the right file?",
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "the file is UTF-16 text; allowed is UTF-8", "save the file as UTF-8"
    if b"\0" in data:
        line = data[: data.index(b"\0")].count(b"\n") + 1
        return (
            f"the file holds binary data (a zero byte in line {line})",
            "give a TOML text file; is this the right file?",
        )
    return None


def parse(text: str) -> tuple[dict[str, object], tuple[SyntaxFault, ...]]:
    """TOML values and every syntax fault found.

    After a fault in a plain ``key = value`` line that line is left out and reading goes on, so
    that several faults are told at once; after any other fault the values are empty.
    """
    faults: list[SyntaxFault] = []
    lines = text.replace("\r\n", "\n").split("\n")
    if long := _long_key(lines):
        return {}, (long,)
    while True:
        try:
            return tomllib.loads("\n".join(lines)), tuple(faults)
        except tomllib.TOMLDecodeError as error:
            fault, may_go_on = _syntax_fault(str(error), lines)
        except RecursionError:
            fault, may_go_on = _too_deep(lines), False
        except ValueError:
            # Python refuses to read whole numbers of more than some thousand digits.
            fault, may_go_on = _too_long_number(lines), False
        faults.append(fault)
        if not may_go_on or len(text) > _RETRY_BELOW or len(faults) >= _MOST_FAULTS:
            return {}, tuple(faults)
        lines[fault.line - 1] = ""


def _syntax_fault(error: str, lines: list[str]) -> tuple[SyntaxFault, bool]:
    match = _POSITION.match(error)
    what = match["what"] if match else error
    number = int(match["line"]) if match and match["line"] else len(lines)
    column = int(match["col"]) if match and match["col"] else 1
    line = lines[number - 1] if number <= len(lines) else ""
    message, remedy = _saying(what, line)
    text = line.strip() if line.isprintable() else ascii(line.strip())[1:-1]
    if text:
        message += f": {text[:60]}{'…' if len(text) > 60 else ''}"
    return SyntaxFault(number, column, message, remedy), bool(_ONE_LINE_PAIR.match(line))


def _saying(what: str, line: str) -> tuple[str, str]:
    """The fault and its remedy in plain words, the likeliest slip first."""
    if letters := foreign_letters(line.split("=")[0]):
        return (
            "a key has a letter that only looks like a Latin one "
            f"({', '.join(char_name(c) for c in letters)})",
            "type the key again with the letters a to z",
        )
    if any(c in line for c in "“”„‟‘’«»"):
        return "the quotes are typographic ones", 'use the plain quotes " at both ends'
    if re.search(r"=\s*[-+]?\d+,\d+\s*(#|$)", line):
        return "the number has a decimal comma", "write a decimal point: 12.5"
    if re.search(r"=\s*[-+]?(?:\.\d|\d+\.(?!\d))", line):
        return "a number has digits on one side of its point only", "write 0.5 or 5.0"
    if "\r" in line:
        return "the file has old line ends (CR only)", "save the file with LF or CRLF line ends"
    for pattern, message, remedy in _SAYINGS:
        if re.search(pattern, what):
            return message, remedy
    return f"this is not TOML ({what[:80]})", "correct the line: key = value"


def _long_key(lines: list[str]) -> SyntaxFault | None:
    """A key of very many parts: the reader would make a table of each of its beginnings."""
    for number, line in enumerate(lines, 1):
        if line.count(".") > _MOST_PARTS and (match := _DOTTED.search(line)):
            return SyntaxFault(
                number, match.start() + 1,
                f"a key has more than {_MOST_PARTS} parts: tables too deep inside one another",
                "keep to the form of the starter files",
            )  # fmt: skip
    return None


def _too_deep(lines: list[str]) -> SyntaxFault:
    number = max(range(len(lines)), key=lambda i: lines[i].count("[") + lines[i].count("{")) + 1
    return SyntaxFault(
        number, 1, "tables or lists stand too deep inside one another", "remove the extra brackets"
    )


def _too_long_number(lines: list[str]) -> SyntaxFault:
    number = next((i for i, t in enumerate(lines, 1) if re.search(r"[\d_]{400}", t)), 0)
    return SyntaxFault(
        number, 1, "a number has hundreds of digits", "write a size in mm, such as 12.5"
    )
