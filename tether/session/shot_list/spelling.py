"""When two names are the same, however they are spelt."""

from __future__ import annotations

import unicodedata


def folded(name: str) -> str:
    """Return a name as it is compared: without case, width, or spaces at its ends or doubled.

    Unicode's caseless matching of identifiers (NFKC, case folding, NFKC again), chapter 3.13.
    """
    caseless = unicodedata.normalize("NFKC", name).casefold()
    return " ".join(unicodedata.normalize("NFKC", caseless).split())
