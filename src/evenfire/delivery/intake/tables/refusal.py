"""How a table says no: what was found and what to do, carried through pydantic to the message that a person reads."""

from typing import Final

from pydantic_core import PydanticCustomError

from evenfire.errors import ImpossibleValue

REFUSED: Final = "evenfire_refused"
IMPOSSIBLE: Final = "evenfire_impossible"


def refusal(found: str, do: str, *, key: str = "") -> PydanticCustomError:
    """An error with its two sentences; ``key`` names the key when a whole table was looked at."""
    return PydanticCustomError(REFUSED, "{found}", {"found": found, "do": do, "key": key})


def impossible(error: ImpossibleValue) -> PydanticCustomError:
    """The refusal of a frozen value; the message is written where the text as typed is at hand."""
    return PydanticCustomError(IMPOSSIBLE, "{key} cannot be", {"key": error.field, "error": error})
