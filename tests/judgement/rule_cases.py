"""One table of cases for every rule: firing, clear, boundary, not judged, in trade units.

The expected sides are worked by hand from the page of rules, never taken from the code. Where a row cannot exist it
stands here with the reason.
"""

from dataclasses import dataclass, field
from typing import Literal

from tests.judgement.plants_for_rules import Edits

Kind = Literal["firing", "clear", "boundary", "not judged"]
Ends = Literal["finding", "clear", "not judged", "no outcome"]
KINDS: tuple[Kind, ...] = ("firing", "clear", "boundary", "not judged")


@dataclass(frozen=True, kw_only=True)
class Row:
    """One change of a plant on which every rule is clear, and how one rule must end on it."""

    code: str
    kind: Kind
    ends: Ends
    edits: Edits = field(default_factory=dict)
    base: str = "high pressure"
    observed: str = ""
    limit: str = ""
    missing: tuple[str, ...] = ()
    detail: str | None = None
    """Not looked at when ``None``"""

    @property
    def name(self) -> str:
        changes = ", ".join(f"{path.removeprefix('boiler.')}={value}" for path, value in self.edits.items())
        return f"{self.code}: {self.kind}: {changes or 'as it is'}"[:150]


@dataclass(frozen=True, kw_only=True)
class CannotBe:
    """A row that cannot exist, and why."""

    code: str
    kind: Kind
    because: str


def fires(
    code: str,
    edits: Edits,
    *,
    observed: str = "",
    limit: str = "",
    base: str = "high pressure",
    detail: str | None = None,
) -> Row:
    return Row(
        code=code,
        kind="firing",
        ends="finding",
        edits=edits,
        base=base,
        observed=observed,
        limit=limit,
        detail=detail,
    )


def clear(code: str, edits: Edits | None = None, *, limit: str = "", base: str = "high pressure") -> Row:
    return Row(code=code, kind="clear", ends="clear", edits=edits or {}, base=base, limit=limit)


def boundary(
    code: str, edits: Edits, ends: Ends, *, observed: str = "", limit: str = "", base: str = "high pressure"
) -> Row:
    return Row(code=code, kind="boundary", ends=ends, edits=edits, base=base, observed=observed, limit=limit)


def unjudged(code: str, edits: Edits, *missing: str, base: str = "high pressure") -> Row:
    return Row(code=code, kind="not judged", ends="not judged", edits=edits, base=base, missing=missing)


def silent(code: str, edits: Edits, *, kind: Kind = "boundary", base: str = "high pressure") -> Row:
    return Row(code=code, kind=kind, ends="no outcome", edits=edits, base=base)


def cannot_be(code: str, kind: Kind, because: str) -> CannotBe:
    return CannotBe(code=code, kind=kind, because=because)


def no_boundary(code: str) -> CannotBe:
    return CannotBe(code=code, kind="boundary", because="a yes or no has no boundary")
