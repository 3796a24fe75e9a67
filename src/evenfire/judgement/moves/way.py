"""The way from found to goal: a state for every subset of the dials, each looked at once."""

from evenfire.judgement.case import Case, prepare
from evenfire.judgement.moves.dials import Turned, after_turning
from evenfire.judgement.moves.watching import Look, look_at
from evenfire.plant.controls import Role


class Way:
    """Every state between two ends; bit ``i`` of a state says that dial ``i`` has been turned.

    The only mutable thing here remembers looks that were taken, and a second look would be the same.
    """

    def __init__(self, found: Case, goal: Case, dials: tuple[Turned, ...]) -> None:
        self.found = found
        self.goal = goal
        self.dials = dials
        self._looks: dict[tuple[int, frozenset[Role]], Look] = {}
        self.not_clear_as_found = self.look(0).not_clear

    def turned(self, mask: int) -> tuple[Turned, ...]:
        """The dials that have been turned in a state."""
        return tuple(each for index, each in enumerate(self.dials) if mask >> index & 1)

    def look(self, mask: int) -> Look:
        """The state judged as it is: a control that was touched is unproved."""
        return self._look(mask, self._still_proved(mask))

    def look_as_if_proved(self, mask: int) -> Look:
        """The state judged as if every control that was touched, and will be proved, had had its proof already."""
        touched = {each.dial.role for each in self.turned(mask)}
        return self._look(mask, self._still_proved(mask) | (self.goal.settings.proved & touched))

    def _still_proved(self, mask: int) -> frozenset[Role]:
        return self.found.settings.proved - {each.dial.role for each in self.turned(mask)}

    def _look(self, mask: int, proved: frozenset[Role]) -> Look:
        if (mask, proved) not in self._looks:
            settings = after_turning(self.found.settings, self.turned(mask), proved)
            case = prepare(self.found.plant, self.found.boiler, self.found.which, settings)
            self._looks[mask, proved] = look_at(case, self.found, self.goal)
        return self._looks[mask, proved]
