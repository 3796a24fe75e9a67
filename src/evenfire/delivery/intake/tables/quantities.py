"""Values of keys that are quantities: text with a unit becomes SI, and the JSON Schema says how to write it."""

from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from evenfire.delivery.intake.tables.refusal import refusal
from evenfire.delivery.units import accepted, read
from evenfire.errors import UnreadableQuantity
from evenfire.plant.known import Datum
from evenfire.si import AbsPa, DiffPa, Dimension, GaugePa

AMBIENT: Final = "ambient"
"""Key of the validation context under which the pressure of the air at the site is handed down."""

_PLAIN: Final = frozenset({Dimension.NUMBER, Dimension.FRACTION})
_MOST_DIGITS: Final = 10**18


def described(value: object) -> str:
    """A value of a TOML file in few words, as it was typed where that is short."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            cut = value if len(value) <= 60 else value[:57] + "..."
            return '"' + "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in cut) + '"'
        case int():
            return str(value) if abs(value) < _MOST_DIGITS else "a number of very many digits"
        case dict():
            return "a table"
        case list():
            return "an empty list" if not value else f"a list of {len(value)}"
        case None:
            return "nothing"
        case _:
            return str(value)


def _text(value: object, dimension: Dimension) -> str:
    """The text of a quantity; a bare number only where no unit is wanted."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise refusal(f"{described(value)} is no quantity", f"Write it as text. {accepted(dimension)}")
    if dimension not in _PLAIN:
        raise refusal(
            f"{described(value)} has no unit", f"Write the number and its unit between quotes. {accepted(dimension)}"
        )
    if isinstance(value, int) and abs(value) >= _MOST_DIGITS:
        raise refusal(f"{described(value)} is no quantity of a boiler", accepted(dimension))
    return repr(value)


def quantity_of(value: object, dimension: Dimension, ambient: AbsPa | None) -> float:
    """The SI value of a key [SI unit of the dimension]; a refusal with the accepted spellings when it has none."""
    text = _text(value, dimension)
    try:
        return read(text, dimension, ambient=ambient).value
    except UnreadableQuantity as error:
        shown = f'"{error.text}"' if isinstance(value, str) else error.text
        raise refusal(f"{shown} {error.why}", error.accepted) from error


def _ambient(info: ValidationInfo) -> AbsPa | None:
    context = info.context
    return context.get(AMBIENT) if isinstance(context, dict) else None


def _json_schema(dimension: Dimension) -> dict[str, Any]:
    """A number in front and, unless it is plain, a unit behind; the reader proper judges the unit."""
    if dimension in _PLAIN:
        return {"type": ["string", "number"], "pattern": r"^\s*[+\-\u2212]?[.]?[0-9]", "$comment": accepted(dimension)}
    return {"type": "string", "pattern": r"^\s*[+\-\u2212]?[.]?[0-9].*\D", "$comment": accepted(dimension)}


@dataclass(frozen=True, slots=True)
class As:
    """Marks a key whose text is a quantity of one dimension."""

    dimension: Dimension

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validation by the reader of units alone."""
        return core_schema.with_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, _schema: CoreSchema, _handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """How it is written in the file."""
        return _json_schema(self.dimension)

    def _read(self, value: object, info: ValidationInfo) -> float:
        return quantity_of(value, self.dimension, _ambient(info))


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity, or a share of something that the key names."""

    value: float
    """[SI unit of the dimension, or 1 by ``is_share``]"""
    is_share: bool


@dataclass(frozen=True, slots=True)
class AsOrShare:
    """Marks a key whose text is a quantity of one dimension or a percentage."""

    dimension: Dimension

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validation by the reader of units alone."""
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, _schema: CoreSchema, _handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """How it is written in the file."""
        return {"type": ["string", "number"], "pattern": r"^\s*[+\-\u2212]?[.]?[0-9]", "$comment": self._accepted()}

    def _accepted(self) -> str:
        return f"{accepted(Dimension.FRACTION)} {accepted(self.dimension)}"

    def _read(self, value: object) -> Amount:
        if not isinstance(value, str):
            return Amount(quantity_of(value, Dimension.FRACTION, None), is_share=True)
        try:
            return Amount(read(value, Dimension.FRACTION).value, is_share=True)
        except UnreadableQuantity:
            return Amount(quantity_of(value, self.dimension, None), is_share=False)


@dataclass(frozen=True, slots=True)
class ShareOrWord:
    """Marks a key that is a share, or one of a few words that stand for one."""

    words: tuple[str, ...]

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validation by the reader of units alone, words first."""
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, _schema: CoreSchema, _handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """How it is written in the file."""
        words = "|".join(self.words)
        pattern = rf"^(({words})$|\s*[+\-\u2212]?[.]?[0-9])"
        return {"type": ["string", "number"], "pattern": pattern, "$comment": accepted(Dimension.FRACTION)}

    def _read(self, value: object) -> float | str:
        if isinstance(value, str) and value in self.words:
            return value
        if isinstance(value, str) and not any(each.isdigit() for each in value):
            raise refusal(
                f"{described(value)} is not known here", f"Write {' or '.join(self.words)}, or a share such as 40 %."
            )
        return quantity_of(value, Dimension.FRACTION, None)


GaugePressure = Annotated[GaugePa, As(Dimension.GAUGE_PRESSURE)]
AbsolutePressure = Annotated[AbsPa, As(Dimension.ABSOLUTE_PRESSURE)]
PressureDifference = Annotated[DiffPa, As(Dimension.PRESSURE_DIFFERENCE)]
Temperature = Annotated[float, As(Dimension.TEMPERATURE)]
TemperatureRate = Annotated[float, As(Dimension.TEMPERATURE_RATE)]
Mass = Annotated[float, As(Dimension.MASS)]
MassFlow = Annotated[float, As(Dimension.MASS_FLOW)]
Power = Annotated[float, As(Dimension.POWER)]
Volume = Annotated[float, As(Dimension.VOLUME)]
Area = Annotated[float, As(Dimension.AREA)]
Length = Annotated[float, As(Dimension.LENGTH)]
Time = Annotated[float, As(Dimension.TIME)]
Frequency = Annotated[float, As(Dimension.FREQUENCY)]
Share = Annotated[float, As(Dimension.FRACTION)]
Count = Annotated[float, As(Dimension.NUMBER)]
FlowOrShare = Annotated[Amount, AsOrShare(Dimension.MASS_FLOW)]
PowerOrShare = Annotated[Amount, AsOrShare(Dimension.POWER)]
DifferenceOrShare = Annotated[Amount, AsOrShare(Dimension.PRESSURE_DIFFERENCE)]
FiringShare = Annotated[float | Literal["low", "full"], ShareOrWord(("low", "full"))]
LoadShare = Annotated[float | Literal["none"], ShareOrWord(("none",))]


def surveyed(value: float | None) -> Datum | None:
    """A number that somebody read or measured, or nothing."""
    return Datum(value) if value is not None else None
