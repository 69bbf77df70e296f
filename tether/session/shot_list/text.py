"""The text of a shot list's file: read whole, never waited for, in an encoding that is sure."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from tether.frame.file import Unreadable
from tether.frame.file import read as read_file
from tether.session.shot_list.problems import Problems

LARGEST_BYTES = 5_000_000

_ZIP = b"PK\x03\x04"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_LINE_END = re.compile(r"\r\n|\r|\n")
_ENCODED_ANEW = (
    "save it as UTF-8 (in a spreadsheet: save as CSV, with UTF-8 as the encoding or character set)"
)


def read_text(path: Path, problems: Problems) -> str:
    """Read a file's text: UTF-8, or UTF-16 with a byte order mark, which is left out.

    Raises
    ------
    ShotListError
        It is not there, no plain file, empty, over `LARGEST_BYTES`, a spreadsheet's own file, or in
        another encoding.
    """
    data = _bytes(path, problems)
    if data.startswith((_ZIP, _OLE)):
        raise problems.refusal(
            "this is a spreadsheet's own file, whatever its name ends with; "
            "save or export the list as CSV"
        )
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as problem:
        before = problem.object[: problem.start].decode("utf-16" if wide else "latin-1", "replace")
        kind = "UTF-16, as its first bytes say" if wide else "UTF-8"
        told = f"byte 0x{problem.object[problem.start]:02X} is not {kind}; {_ENCODED_ANEW}"
        raise problems.refusal(told, _line_after(before)) from None
    before, nul, _ = text.partition("\0")
    if nul:
        told = f"NUL characters, so this is not plain text; {_ENCODED_ANEW}"
        raise problems.refusal(told, _line_after(before))
    if not text.strip():
        raise problems.refusal("the file is empty")
    return text


def _bytes(path: Path, problems: Problems) -> bytes:
    try:
        return read_file(path, most=LARGEST_BYTES).data
    except Unreadable as problem:
        size = f"; at most {LARGEST_BYTES / 1e6:.0f} MB" if "too large" in str(problem) else ""
        raise problems.refusal(f"{problem}{size}") from None
    except ValueError:
        raise problems.refusal("no file can have this name") from None


def _line_after(text: str) -> str:
    return f"line {len(_LINE_END.findall(text)) + 1}"
