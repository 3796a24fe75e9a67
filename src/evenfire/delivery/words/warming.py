"""Wording of a warm-up: what is known of how fast each kind may warm, and what to do about it."""

from collections.abc import Mapping
from typing import Final

from evenfire.plant.boiler import Kind

KNOWN: Final[Mapping[Kind, str]] = {
    Kind.WATERTUBE: "How fast a drum may warm is known here from memory only; its maker's word goes first",
    Kind.FIRETUBE: "How fast a fire-tube boiler may warm: nothing published is known here that gives a number, so this "
    "rate is told and not judged. Common practice is low fire until steam comes, and slower after a long stand, "
    "because furnace and tubes grow before the shell does",
    Kind.VERTICAL: "How fast a vertical boiler may warm: nothing published is known here that gives a number, so this "
    "rate is told and not judged. Common practice is the lowest fire there is until steam comes, because furnace and "
    "dry tube ends grow before the shell does",
    Kind.CAST_IRON: "How fast cast-iron sections may warm: nothing published is known here that gives a number, so "
    "this rate is told and not judged. Common practice is to let no cold water into hot sections, which cracks them",
    Kind.COIL: "How fast a coil may warm: nothing is known here, so this rate is told and not judged. Its walls are "
    "thin and its water is little; the maker's instructions say how to start it, and water flows before it fires",
}
"""What is known, and from where: published, practice, memory or nothing."""
STAY: Final = "Somebody stays with it from the first flame until it stands in its band."
STAY_BESIDE_HOLD: Final = (
    "Somebody stays with it from the first flame until it stands in its band: the low-fire hold does not replace them."
)
NO_HOLD: Final = (
    "It has no low-fire hold: put it in manual at low fire before the first flame and keep it there by hand {until}, "
    "slower where its maker says so; or have a hold fitted."
)
UNTIL_STEAM: Final = "at least until it steams"
UNTIL_CUT_IN: Final = "as told here until it stands at cut-in"
"""Of a drum that warms too fast even for what memory allows."""
UNTIL_PRESSURE: Final = "until {pressure} or a little more"
LEAVE_THE_HOLD: Final = (
    "Leave the hold in. Where a dip has pinned the burner the cure is a lower hold, never a bypass; and a warm-up "
    "wants somebody beside it, with a hold or without."
)
