"""From text to a TOML document: nesting is bounded first, then the standard library reads, then its words are plain."""

import re
import tomllib
from typing import Any, Final

from evenfire.errors import BadPlantFile

DEEPEST_NESTING: Final = 20
"""A plant file nests six deep; what nests deeper is no plant file, and would only wear out the readers of it."""

Raw = dict[str, Any]
"""A TOML document as the standard library reads it."""

LONGEST_LOOKED_AT: Final = 400
"""A line is looked at this far for the slip in it [characters]."""

_TOKENS: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"""'
    r"|'''.*?'''"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
    r"|[\[\]{}.,=\n]",
    re.DOTALL,
)
_PLACE: Final = re.compile(r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$", re.DOTALL)
_BARE_QUANTITY: Final = re.compile(r"=\s*(?P<quantity>[+-]?\.?\d[\d.,]*\s*[A-Za-z%/][^#\"'{}\[\]]*?)\s*(?:#.*)?$")
_DAY: Final = re.compile(r"=\s*(?P<day>\d{4}-\d{1,2}-\d{1,2})\b")
_YES_OR_NO: Final = frozenset({"yes", "no", "on", "off", "true", "false"})
_BARE_TEXT: Final = re.compile(r"=\s*(?P<text>[A-Za-z][^#\"'{}\[\]=]*?)\s*(?:#.*)?$")


def parsed(text: str, name: str) -> Raw:
    """The document of a TOML text.

    Raises
    ------
    BadPlantFile
        The text nests too deeply or is no TOML: with the line and what to do.
    """
    deep = _too_deep_at(text)
    if deep is not None:
        raise BadPlantFile(
            file=name,
            line=deep,
            key=None,
            found=f"tables, lists or keys nest deeper than {DEEPEST_NESTING}",
            do="Nothing in a plant file nests so deep: check the brackets and dots up to that line.",
        )
    try:
        return tomllib.loads(text)
    except ValueError as error:
        raise _no_toml(error, text, name) from error


def _too_deep_at(text: str) -> int | None:
    """The first line on which brackets or the parts of a key nest too deeply, strings and comments not counted."""
    depth = dots = 0
    for token in _TOKENS.finditer(text):
        match token[0]:
            case "[" | "{":
                depth, dots = depth + 1, 0
            case "]" | "}":
                depth, dots = max(0, depth - 1), 0
            case ".":
                dots += 1
            case "," | "=" | "\n":
                dots = 0
            case _:  # a string or a comment
                continue
        if max(depth, dots) > DEEPEST_NESTING:
            return text.count("\n", 0, token.start()) + 1
    return None


def _no_toml(error: ValueError, text: str, name: str) -> BadPlantFile:
    """What the reader of TOML says, in the words of a person who looks at the line."""
    lines = text.split("\n")
    place = _PLACE.match(str(error))
    if place is None:
        # Python refuses to turn thousands of digits into a number, and does not say where they are.
        longest = max(range(len(lines)), key=lambda number: len(lines[number]))
        return BadPlantFile(
            file=name,
            line=longest + 1,
            key=None,
            found="there is a number of very many digits",
            do="Write the number as it was read.",
        )
    number = int(place["line"]) if place["line"] else len(lines)
    found, do = _plainly(place["what"], lines[min(number, len(lines)) - 1][:LONGEST_LOOKED_AT])
    return BadPlantFile(file=name, line=number, key=None, found=found, do=do)


def _plainly(what: str, line: str) -> tuple[str, str]:
    """What is wrong with a line and what to do, told from what TOML says and from what stands there."""
    if "Cannot declare" in what or "Cannot overwrite" in what or "Duplicate" in what:
        return _twice(line)
    if "Cannot mutate" in what or "Cannot redefine" in what:
        return f"{_cut(line.strip())} adds to a table that is already closed", "Put all keys of a table in one place."
    if r"'\n'" in what or "Unterminated" in what:
        return "a text begins with a quote that is not closed on its line", "Close the quote at the end of the text."
    if "character" in what and "Invalid initial" not in what:
        return (
            f"there is a character that TOML does not allow there ({what})",
            "Type the line again with plain characters and plain line ends.",
        )
    day, quantity, text = _DAY.search(line), _BARE_QUANTITY.search(line), _BARE_TEXT.search(line)
    if day is not None:
        return f"{day['day']} is no day", "Write year-month-day, for example 2026-11-03."
    if quantity is not None:
        typed = _cut(quantity["quantity"].strip())
        return f"{typed} stands without quotes", f'Put a quantity between quotes: "{typed}".'
    if text is not None:
        return _bare(_cut(text["text"]))
    return f"the line is not TOML ({what})", 'Every line is a [table], or a key = value, as in need = "105 psi".'


def _bare(typed: str) -> tuple[str, str]:
    if typed.lower() in _YES_OR_NO:
        return f"{typed} is neither true nor false", "Write true or false in small letters, without quotes."
    return f"{typed} stands without quotes", f'Put a text between quotes: "{typed}".'


def _twice(line: str) -> tuple[str, str]:
    header = line.strip()
    if header.startswith("["):
        return (
            f"the table {_cut(header.split('#')[0].strip())} is there twice",
            "Keep one of them; a second boiler, burner or valve has double brackets, as in [[boiler]].",
        )
    return f"the key {_cut(header.split('=')[0].strip())} is there twice", "Keep one of the two."


def _cut(text: str) -> str:
    short = text if len(text) <= 60 else text[:57] + "..."
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in short)
