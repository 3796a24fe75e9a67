"""The cautions that go with everything that tells somebody to do something at a boiler."""

from typing import Final

CAUTIONS: Final[tuple[str, ...]] = (
    "Steam and burning fuel kill.",
    "What is said here is for a qualified person to weigh.",
    "Where it differs from the nameplate, the maker, the adopted code, the insurer or the authority, they are right.",
    "Bypass no limit, ever.",
    "A test that needs a limit out of the way is a temporary change: written down, and one person stays at the stop.",
    "No setting stands above the MAWP or the set pressure of a safety valve.",
    "A boiler whose limit failed its test towards danger stays out of service.",
    "Stay with a boiler that warms up; the low-fire hold does not replace you.",
    "Line voltage waits under every cover: lock it out first.",
    "Let steam meet a siphon only when it holds water.",
    "A sensing line under pressure stays closed.",
    "Keep clear of the discharge of the safety valves.",
    "Test only with the plant's consent.",
    "An old tilting switch may hold mercury; the law says where it goes.",
)
"""Every one of them, for sheets, cards and test procedures."""

CAUTIONS_IN_SHORT: Final[tuple[str, str]] = (
    "For a qualified person to weigh; nameplate, maker, adopted code, insurer, authority are right. Bypass no limit.",
    "Nothing is set above MAWP or a safety valve. Read all cautions before you touch a dial: README, Cautions.",
)
"""Two lines for every answer on a screen."""

CAUTION_OF_A_RUN: Final = (
    "A simulation proves nothing about the hardware, and no fault that is shown here is ever to be made on a boiler."
)
"""For every answer that comes of a run."""
