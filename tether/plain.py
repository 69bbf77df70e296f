"""Text from outside, made safe to print: a file's name may hold anything."""

from __future__ import annotations

import unicodedata


def plain(text: str) -> str:
    """Return `text` with control, format and undecodable characters written as escapes."""
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    # Cc: newlines, escape sequences; Cf: marks that turn the reading direction; Cs: bytes that
    # were no text; Zl, Zp: line breaks that are not Cc.
    if unicodedata.category(character) in {"Cc", "Cf", "Cs", "Zl", "Zp", "Co", "Cn"}:
        return character.encode("unicode_escape", "surrogatepass").decode("ascii")
    return character
