"""The cautions that go with everything that tells somebody to do something at a boiler."""

from typing import Final

CAUTIONS: Final[tuple[str, ...]] = (
    "Steam under pressure and burning fuel kill.",
    "These settings advise a qualified person.",
    "Nameplate, maker's instructions, adopted code, insurer and the authority having jurisdiction come before them.",
    "Bypass no limit, ever.",
    "A limit is changed for a test only as a recorded temporary change, somebody at the stop until it is put back.",
    "Set nothing above the MAWP or above a safety valve.",
    "A limit that fails its test on the unsafe side keeps the boiler out of service.",
    "Stay with a boiler that warms up: the low-fire hold is a safeguard and no attendant.",
    "There is line voltage under the covers: lock it out before you open them.",
    "Fill the siphon with water before steam reaches the control.",
    "Never open a sensing line that is under pressure.",
    "Keep clear of the discharge of the safety valves.",
    "Test only with the consent of the plant.",
    "Old tilting switches may hold mercury: dispose of them as the law says.",
)
"""Every one of them, for sheets, cards and test procedures."""

CAUTIONS_IN_SHORT: Final[tuple[str, str]] = (
    "Advice for a qualified person: nameplate, maker, adopted code, insurer and authority come first. Bypass no limit.",
    "Set nothing above MAWP or a safety valve. Read all cautions before you touch a dial: README, Cautions.",
)
"""Two lines for every answer on a screen."""
