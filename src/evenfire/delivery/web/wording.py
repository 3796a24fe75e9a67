"""Sentences of the program as a screen says them: where the terminal names a file, a key or a command, in plain words.

Numbers, units and every other word stay as the terminal has them.
"""

import re
from typing import Final

from evenfire.delivery.intake.survey_fields import field_if_any
from evenfire.delivery.papers.plain_names import in_plain_names
from evenfire.delivery.words.survey import SECTIONS, section_of

_KEY: Final = re.compile(r" \((?:key [a-z][a-z0-9_.]*(?: in the settings)?|(?:trip|device)\.[a-z0-9_.]+)\)")
"""Where a value stands in a file or on a sheet."""
_ASSUMED: Final = re.compile(
    r"(?P<keys>(?:boiler|site|load)\.[a-z_.]+(?: or boiler\.[a-z_.]+)*)(?P<rest>.*: .+) ASSUMED_[A-Z_]+\."
)
"""A value that was assumed, by the keys that make it unnecessary and its name in the program."""
_SAID: Final = (
    ("`evenfire settle`", "Settle"),
    ("evenfire settle weighs", "Settle weighs"),
    ("does not pin it: evenfire settle.", "does not pin it: see Settle."),
    ("enter it in the plant file", "enter it in the survey"),
    ("then enter the list of jumpers as empty", 'then write "none" where bypasses are asked for'),
    ("README, Cautions.", "they stand below."),
    ("empty call.given_up on its sheet", "empty its reason under The call"),
    ("(call.given_up on its sheet)", "(under The call)"),
)
"""What the terminal says, and what a screen says instead."""


def on_screen(text: str) -> str:
    """A sentence that the program wrote, for somebody who sees no file and no prompt; never what a person typed."""
    assumed = _ASSUMED.fullmatch(text)
    if assumed is not None:
        return f"{' or '.join(_label(key) for key in assumed['keys'].split(' or '))}{assumed['rest']}"
    said = _KEY.sub("", in_plain_names(text))
    for terminal, screen in _SAID:
        said = said.replace(terminal, screen)
    return said


def _label(key: str) -> str:
    """A key as the page of a survey labels it, with the part in which it stands there."""
    known = field_if_any(key) or field_if_any(key.replace("burner.", "burner.1.").replace("valve.", "valve.1."))
    if known is None:
        return key
    part = section_of(known.section, "")
    return known.label if part == SECTIONS["boiler"] else f"{known.label} ({part})"
