"""One line of the speed page."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A piece of work against its reference."""

    work: str
    reference: str
    ratio: float
    """[1]"""
    reach: float
    """The ratio that should not be exceeded [1]"""
    seconds: float
    """[s]"""
    reference_seconds: float
    """[s]"""

    def markdown(self) -> str:
        """The row of the table."""
        kept = "kept" if self.ratio <= self.reach else "**missed**"
        return (
            f"| {self.work} | {self.reference} | {self.ratio:.2f} | {self.reach:g} | {kept} "
            f"| {1000 * self.seconds:.0f} ms / {1000 * self.reference_seconds:.0f} ms |"
        )
