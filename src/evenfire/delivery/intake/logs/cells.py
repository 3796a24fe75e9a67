"""What a cell may hold: a number with its decimals, a word for on or off, a stand-in for nothing, a time."""

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

from evenfire.delivery.intake.logs.wishes import Decimals

NOTHING: Final = frozenset(
    {"", "-", "--", "---", "----", "?", "*", "nan", "na", "n/a", "#n/a", "null", "none", "nil", "bad", "bad input"}
    | {"no data", "nodata", "no value", "invalid", "error", "err", "fault", "offline", "missing", "#value!", "#div/0!"}
    | {"#ref!", "#num!", "comm fail", "i/o timeout", "out of service", "inf", "-inf", "infinity", "-infinity", "+inf"}
    | {
        "fehler",
        "ungultig",
        "kein wert",
        "erreur",
        "invalide",
        "sin dato",
        "ndef",
        "overflow",
        "underflow",
        "over",
        "under",
    }
)
"""Texts that stand for a missing value, folded."""
ON: Final = frozenset(
    {"on", "true", "yes", "run", "running", "open", "ein", "an", "ja", "wahr", "lauft", "marche", "oui", "vrai"}
    | {"encendido", "marcha", "si", "verdadero", "high", "active", "aktiv", "betrieb", "started", "y", "t"}
)
OFF: Final = frozenset(
    {"off", "false", "no", "stop", "stopped", "closed", "aus", "nein", "falsch", "steht", "arret", "non", "faux"}
    | {"apagado", "paro", "parado", "falso", "low", "inactive", "inaktiv", "n", "f"}
)
NEGATIVE_STAND_INS: Final = frozenset(
    {-99.9, -88.8, -99.0, -99.99, -999.0, -999.9, -999.99, -999.25, -9999.0, -9999.9, -99999.0, -999999.0}
    | {-32768.0, -3276.8, -32767.0, -2147483648.0}
)
"""Numbers that no reading of a boiler is, written where there was none."""
POSITIVE_STAND_INS: Final = frozenset(
    {888.8, 999.0, 999.9, 999.99, 9999.0, 9999.9, 99999.0, 999999.0, 32767.0, 3276.7, 65535.0, 6553.5, 2147483647.0}
    | {4294967295.0, 1e20, 1e30, 1e35, 1e38}
)
"""The same where nothing else in the column comes near; a flow of 999 among flows of 950 is a reading."""

_NUMBER: Final = {
    Decimals.POINT: re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"),
    Decimals.COMMA: re.compile(r"[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?"),
}
_GROUPED: Final = {
    Decimals.POINT: re.compile(r"[+-]?\d{1,3}(?:[, '\u00a0\u202f\u2019]\d{3})+(?:\.\d*)?"),
    Decimals.COMMA: re.compile(r"[+-]?\d{1,3}(?:[. '\u00a0\u202f\u2019]\d{3})+(?:,\d*)?"),
}
_SURELY_COMMA: Final = re.compile(r"[+-]?(?![1-9]\d{0,2},\d{3}$)(?:\d*|\d{1,3}(?:\.\d{3})+),\d*")
_SURELY_POINT: Final = re.compile(r"[+-]?(?![1-9]\d{0,2}\.\d{3}$)(?:\d*|\d{1,3}(?:,\d{3})+)\.\d*")


def folded(text: str) -> str:
    """A text without case, accents and doubled blanks, for comparing words of four languages."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(each for each in apart if not unicodedata.combining(each)).split())


def number_of(text: str, decimals: Decimals) -> float | None:
    """The number in a cell, if it is one."""
    plain = text.strip().replace("\u2212", "-")
    if _GROUPED[decimals].fullmatch(plain):
        plain = re.sub(r"[ '\u00a0\u202f\u2019]", "", plain).replace("," if decimals is Decimals.POINT else ".", "")
    elif not _NUMBER[decimals].fullmatch(plain):
        return None
    return float(plain.replace(",", ".") if decimals is Decimals.COMMA else plain)


def switch_of(text: str) -> float | None:
    """1 for a word that says on, 0 for one that says off."""
    word = folded(text)
    return 1.0 if word in ON else 0.0 if word in OFF else None


def is_nothing(text: str) -> bool:
    """Whether a text stands for a missing value."""
    return folded(text) in NOTHING


def decimals_of(texts: Iterable[str], separator: str) -> Decimals:
    """What marks the decimals: a comma where numbers have one and none has a point as its only mark."""
    commas = points = 0
    for text in texts:
        plain = text.strip()
        # 1,234 may be either; only what cannot be a mark of thousands decides.
        commas += _SURELY_COMMA.fullmatch(plain) is not None
        points += _SURELY_POINT.fullmatch(plain) is not None
    if commas == points == 0:
        # Nothing but whole numbers, or numbers with three digits behind one mark: the separator decides.
        return Decimals.COMMA if separator == ";" else Decimals.POINT
    return Decimals.COMMA if commas > points else Decimals.POINT


def stand_ins(values: Iterable[float]) -> frozenset[float]:
    """The numbers among some readings that stand in for missing ones."""
    finite = [value for value in values if abs(value) < 1e300]
    found = {value for value in finite if value in NEGATIVE_STAND_INS}
    suspects = {value for value in finite if value in POSITIVE_STAND_INS}
    rest = [abs(value) for value in finite if value not in suspects and value not in found]
    greatest = max(rest, default=0.0)
    return frozenset(found | {value for value in suspects if value > 2 * greatest})
