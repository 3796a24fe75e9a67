"""One line of the speed page."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A piece of work against its reference."""

    work: str
    reference: str
    ratio: float
    """[1]"""
    reach: float | None
    """The ratio that should not be exceeded [1]; none where nothing is promised"""
    seconds: float
    """[s]"""
    reference_seconds: float
    """[s]"""

    def markdown(self) -> str:
        """The row of the table."""
        promised, kept = "", "told"
        if self.reach is not None:
            promised, kept = f"{self.reach:.3g}", "kept" if self.ratio <= self.reach else "**missed**"
        # A size against a size has no times.
        times = f"{_time(self.seconds)} / {_time(self.reference_seconds)}" if self.reference_seconds else ""
        return f"| {self.work} | {self.reference} | {self.ratio:.3g} | {promised} | {kept} | {times} |"


def _time(seconds: float) -> str:
    return f"{1000 * seconds:.0f} ms" if seconds >= 0.1 else f"{1000 * seconds:.2g} ms"
