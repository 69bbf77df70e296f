"""Why an area does not show one edge that can be measured."""

from __future__ import annotations

from enum import StrEnum


class Unfit(StrEnum):
    """Reasons, as an interface may tell them."""

    NOT_FINITE = "not finite"
    NO_EDGE = "no edge"
    SEVERAL_EDGES = "several edges"
    LOW_CONTRAST = "low contrast"
    CLIPPED = "clipped"
    ANGLE = "angle"
    UNDERSAMPLED = "undersampled"
    TOO_SMALL = "area too small"


class UnfitEdge(ValueError):
    """The area does not show one edge that can be measured; the message says what to change.

    Parameters
    ----------
    reason
        Which of the reasons.
    message
        The same in a sentence, with figures.
    """

    def __init__(self, reason: Unfit, message: str) -> None:
        super().__init__(message)
        self.reason = reason
