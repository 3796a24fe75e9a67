"""What all tables have in common: nothing unknown, nothing converted on the quiet, nothing impossible."""

from typing import Any, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import PydanticUndefined

from evenfire.delivery.intake.tables.refusal import impossible
from evenfire.errors import ImpossibleValue


class Table(BaseModel):
    """A table of the plant file."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    def value(self) -> object:
        """The frozen plant value that this table describes; raises ``ImpossibleValue`` when there can be none."""
        return None

    @model_validator(mode="after")
    def _is_possible(self) -> Self:
        try:
            self.value()
        except ImpossibleValue as error:
            raise impossible(error) from error
        return self


def required(description: str, *examples: object, alias: str | None = None) -> Any:
    """A key that must be there; the first example is the one that a new plant file shows."""
    return Field(default=PydanticUndefined, alias=alias, description=description, examples=list(examples))


def optional(description: str, *examples: object, alias: str | None = None) -> Any:
    """A key that may be absent, which means unknown."""
    return Field(default=None, alias=alias, description=description, examples=list(examples))


def table(description: str, make: type[Table], *examples: object) -> Any:
    """A table that may be absent, which means that nothing in it is known."""
    return Field(default_factory=make, description=description, examples=list(examples))
