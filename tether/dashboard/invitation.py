"""How a second screen is let in, as the dashboard shows it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Invitation:
    """The page's address, and the code that lets the next screen in.

    `code` is empty where whoever can reach the address may look; `screens` is how many are open.
    `trouble` says why there is no page, and then the rest is empty.
    """

    address: str = ""
    code: str = ""
    screens: int = 0
    trouble: str = ""

    @property
    def link(self) -> str:
        """What a phone opens to be let in."""
        return f"{self.address}pair/{self.code}" if self.code else self.address

    @property
    def spoken(self) -> str:
        """The code in groups of four, as it is read aloud and typed."""
        return "-".join(self.code[at : at + 4] for at in range(0, len(self.code), 4))
