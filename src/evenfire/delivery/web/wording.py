"""Sentences of the program as a screen says them: where the terminal names a file, a key or a command, in plain words.

Numbers, units and every other word stay as the terminal has them.
"""

import re
from typing import Final

from evenfire.delivery.papers.plain_names import in_plain_names

_KEY: Final = re.compile(r" \((?:key [a-z][a-z0-9_.]*(?: in the settings)?|(?:trip|device)\.[a-z0-9_.]+)\)")
"""Where a value stands in a file or on a sheet."""
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
    said = _KEY.sub("", in_plain_names(text))
    for terminal, screen in _SAID:
        said = said.replace(terminal, screen)
    return said
