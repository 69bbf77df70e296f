"""What one source says about where a frame is meant to be sharp."""

from __future__ import annotations

from dataclasses import dataclass

from tether.model import Eye, Rect, Source


@dataclass(frozen=True, slots=True)
class Answer:
    """One source's answer, for a person to read as well.

    `rect` is in px of the full-size unrotated image, before it is grown or cut to the sizes that
    the settings allow; None where the source names nothing. `said` is what it says, or why it
    says nothing, in words. `others` are more places it names, which are not looked at. `eyes` are
    those that are seen, the one that was chosen first, where the source looked for eyes. `lost`
    says why a fixed area could not be followed, or is empty.
    """

    source: Source
    rect: Rect | None
    said: str
    others: tuple[Rect, ...] = ()
    eyes: tuple[Eye, ...] = ()
    lost: str = ""
