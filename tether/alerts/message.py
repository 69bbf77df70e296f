"""What somebody is told of a frame, in plain words."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tether import contract
from tether.model import Judgement, Verdict
from tether.plain import plain


@dataclass(frozen=True, slots=True)
class Message:
    """One alert, or the one that says that all is well again.

    `more` frames came since the last one that was told of. Until `due_s`, in s of the monotonic
    clock, it may wait for the cause.
    """

    judgement: Judgement
    all_clear: bool = False
    more: int = 0
    due_s: float = 0.0

    @property
    def kind(self) -> str:
        """`all clear`, or the verdict."""
        return "all clear" if self.all_clear else self.judgement.verdict.value

    @property
    def line(self) -> str:
        """The frame's facts as JSON: the contract's line."""
        return contract.line(self.judgement)

    @property
    def picture(self) -> bytes:
        """JPEG of the focus area."""
        return self.judgement.crop

    @property
    def title(self) -> str:
        """One line: which frame, and its verdict."""
        again = " again" if self.all_clear else ""
        return f"{plain(self.judgement.frame)}: {self.judgement.verdict.value}{again}"

    @property
    def body(self) -> str:
        """Cause, what to change, or else what was measured, and what came since the last alert."""
        one = self.judgement
        lines = [one.cause.value] if one.cause else []
        lines += [one.error] if one.error else one.advice or self._measured
        if self.more:
            soft = " soft" if one.verdict in {Verdict.SOFT, Verdict.SHARP} else ""
            frames = "frame" if self.more == 1 else "frames"
            lines.append(f"{self.more} more{soft} {frames} since the last alert")
        return "\n".join(plain(line) for line in lines) or one.verdict.value

    @property
    def _measured(self) -> list[str]:
        one = self.judgement
        widest = one.measurement.widest if one.measurement else None
        if widest is None or one.limit_px is None:
            return []
        return [f"edges {widest.px:.1f} px wide, limit {one.limit_px:.1f}"]

    def whole(self, judgement: Judgement) -> Message:
        """The same of a frame that was looked at as a whole: it need not wait any longer."""
        return replace(self, judgement=judgement, due_s=0.0)

    def instead_of(self, earlier: Message) -> Message:
        """Take the place of one that nobody got: its frames are counted here."""
        return replace(self, more=self.more + earlier.more + (not earlier.all_clear))
