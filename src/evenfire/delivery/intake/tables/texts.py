"""Values of keys that are names, remarks and choices."""

from typing import Annotated

from pydantic import AfterValidator, Field

from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.intake.tables.refusal import refusal

LONGEST_NAME = 100
LONGEST_REMARK = 500


def _printable(text: str) -> str:
    """A text that can be printed on a sheet and in a terminal without moving the cursor."""
    stripped = text.strip()
    if not stripped:
        raise refusal(f"{described(text)} is empty", "Write a text, or take the key away.")
    if not stripped.isprintable():
        raise refusal(f"{described(text)} holds characters that cannot be printed", "Write it with plain characters.")
    return stripped


Name = Annotated[str, Field(max_length=LONGEST_NAME), AfterValidator(_printable)]
Remark = Annotated[str, Field(max_length=LONGEST_REMARK), AfterValidator(_printable)]
