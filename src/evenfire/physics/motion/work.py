"""Room that the loop works in: nothing in it outlives a step."""

from typing import Annotated

from evenfire.physics.motion.crossing import SIGNALS
from evenfire.physics.motion.exchange import Course
from evenfire.physics.motion.happenings import Arrival
from evenfire.physics.motion.records import Floats, Record
from evenfire.physics.motion.step import Trial


class Work(Record):
    """Room for one loop; two loops at once need two."""

    course: Course
    trial: Trial
    arrival: Arrival
    turn: Arrival
    bounds: Annotated[Floats, (SIGNALS, 2)]
    """What each signal may not leave [unit of the signal]"""
    short: int
    """Very short steps in a row"""
    tried: int
    """Steps tried; each asks five times for all flows"""
    refused: int
    """Of them, those that were not accurate enough"""
