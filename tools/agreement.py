"""How well evenfire agrees with print, as Markdown: the values of ``tests/published``, measured now.

Run from the checkout's root: ``python -m tools.agreement``.
"""

import importlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from tests.published.printed import Disagreement, Printed

Kind = TypeVar("Kind", Printed, Disagreement)

_FOLDER = Path(__file__).parent.parent / "tests" / "published"


@dataclass(frozen=True, slots=True)
class _Row:
    """All values of one quantity from one place in print; the one that uses most of its tolerance speaks for them."""

    values: tuple[Printed, ...]

    @property
    def worst(self) -> Printed:
        return max(self.values, key=lambda value: value.deviation / value.allowed)

    @property
    def markdown(self) -> str:
        first, worst = self.values[0], self.worst
        known = ", ".join(dict.fromkeys(value.tag.value for value in self.values))
        cells = (
            first.source.key,
            f"{first.quantity} ({first.place})",
            str(len(self.values)),
            _amount(worst, max(worst.deviation, worst.allowed / 1000), under=worst.deviation < worst.allowed / 1000),
            _amount(worst, worst.allowed),
            known,
        )
        return f"| {' | '.join(cells)} |"


def agreement_table() -> str:
    """Markdown table: source, what, how many values, largest deviation, what was allowed, how the value is known.

    Grouped by source, in the order of their keys. Rounded to two digits, and a deviation below a thousandth of what is
    allowed is only said to be below it, so that the text is the same on every machine.
    """
    groups: dict[tuple[str, str, str, str], list[Printed]] = {}
    for value in _collected("PRINTED", Printed):
        groups.setdefault((value.source.key, value.quantity, value.place, value.unit), []).append(value)
    ordered = sorted(groups.items(), key=lambda item: item[0][0])
    head = (
        "| Source | What | Values | Largest deviation | Allowed | Expected value is |",
        "|---|---|---|---|---|---|",
    )
    return "\n".join([*head, *(_Row(tuple(values)).markdown for _, values in ordered)]) + "\n"


def disagreement_table() -> str:
    """Markdown table of the printed values that evenfire does not reproduce, with the reason."""
    rows = [
        f"| {item.printed.source.key} | {item.printed.quantity} at {item.printed.at} ({item.printed.place}) "
        f"| {item.printed.printed} {item.printed.unit}".rstrip()
        + f" | {_beside(item.printed)} | {item.why} |"
        for item in sorted(
            _collected("DISAGREEING", Disagreement), key=lambda item: (item.printed.source.key, str(item))
        )
    ]
    head = ("| Source | What | Printed | Ours | Why |", "|---|---|---|---|---|")
    return "\n".join([*head, *rows]) + "\n"


def _collected(name: str, kind: type[Kind]) -> Iterator[Kind]:
    for path in sorted(_FOLDER.glob("test_*.py")):
        module = importlib.import_module(f"tests.published.{path.stem}")
        values: Iterable[object] = getattr(module, name, ())
        for value in values:
            if not isinstance(value, kind):
                raise TypeError(f"{path.name}: {name} holds a {type(value).__name__}")
            yield value


def _amount(value: Printed, amount: float, *, under: bool = False) -> str:
    less = "< " if under else ""
    if value.relative is not None:
        return f"{less}{100 * amount / abs(value.value):.2g} %"
    return f"{less}{amount:.2g} {value.unit}".rstrip()


def _beside(value: Printed) -> str:
    """Our number with one digit more than print."""
    digits = len(value.printed.partition(".")[2]) + 1
    return f"{value.ours():.{digits}f} {value.unit}".rstrip()


if __name__ == "__main__":
    print(agreement_table())
    print(disagreement_table())
