"""Settle on coarse dials against two other methods: plain nested loops, and an integer program for the linear part.

Both are judged by the goals that settle names, in their order: the fewest starts (within a tenth or 0.3 an hour), usual
practice where it costs nothing, the fewest dials turned, the widest smallest margin (five tolerances are plenty), the
next smallest among equals.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from evenfire.judgement.settle.result import Fits, NothingFits
from evenfire.judgement.settle.settling import settle
from evenfire.plant.boiler import Boiler
from evenfire.plant.controls import Role
from evenfire.plant.plant import Plant
from evenfire.plant.settings import AsFound, DialReading, Settings
from evenfire.si import DiffPa, GaugePa
from tests.conftest import SOAK
from tests.judgement.random_plants import (
    NOISE,
    PSI,
    TRULY_BELOW,
    Dial,
    Floats,
    SecondOpinion,
    chunks,
    random_plant,
)
from tests.judgement.test_settle_on_random_plants import place_of

COUNT = 300 if SOAK else 30
IN_ONE_TEST = 15
PRACTICE_DECIDES = 184
"""On this plant, and on few others, the goals that come after usual practice would choose against it."""
PLENTY = 5.0
"""Tolerances; beyond it a wider margin is no goal."""
HAIR = 5e-6
"""Weights that are nearer than this are alike [1]."""
LEAST_UNIT = 0.25 * PSI
"""Where every tolerance is nought, room is weighed in quarters of a psi."""
WEIGHED_IN: dict[str, tuple[Role, ...]] = {
    "cut-out-below-high-limit": (Role.OPERATING_LIMIT, Role.HIGH_LIMIT),
    "high-limit-within-mawp": (Role.HIGH_LIMIT,),
    "high-limit-within-low-pressure": (Role.HIGH_LIMIT,),
    "high-limit-below-valve": (Role.HIGH_LIMIT,),
    "high-limit-stops-before-valve": (Role.HIGH_LIMIT,),
    "cut-out-within-downstream-rating": (Role.OPERATING_LIMIT,),
    "cut-out-clear-of-high-limit": (Role.OPERATING_LIMIT, Role.HIGH_LIMIT),
    "working-pressure-below-valve": (Role.OPERATING_LIMIT,),
    "working-pressure-below-reseat": (Role.OPERATING_LIMIT,),
    "cut-out-within-wish": (Role.OPERATING_LIMIT,),
    "low-fire-before-cut-out": (Role.OPERATING_LIMIT, Role.FIRING_RATE),
    "need-at-full-load": (Role.FIRING_RATE,),
    "restart-holds-need": (Role.OPERATING_LIMIT,),
}
"""The controls whose tolerance is the unit of a margin; the hold has no part in the choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """The best there is, goal by goal."""

    fewest_starts: float
    usual: bool
    fewest_turned: int
    widest: tuple[float, ...]
    """The smallest margin, then the next, each no more than plenty [tolerances]"""


class Weighed:
    """One coarse plant with everything that the goals look at, by position."""

    def __init__(self, plant: Plant, boiler: Boiler) -> None:
        self.second = second = SecondOpinion(plant, boiler)
        self.found = None if boiler.as_found is None else boiler.as_found.settings
        pairs = zip(second.operating.lower, second.operating.upper, strict=True)
        self.starts = [second.motion.starts(second.burner, low, high) if low > 0 else np.inf for low, high in pairs]
        offs = {Role.OPERATING_LIMIT: second.operating.off, Role.HIGH_LIMIT: second.high.off}
        if second.rate is not None:
            offs[Role.FIRING_RATE] = second.rate.off
        self.units = {
            code: max(LEAST_UNIT, sum(offs[role] for role in WEIGHED_IN[code]))
            for code in second.rooms
            if code in WEIGHED_IN
        }
        self.turned = (
            _turned(second.operating, None if self.found is None else self.found.operating_limit),
            [0]
            if second.rate is None
            else _turned(second.rate, None if self.found is None else self.found.firing_rate),
            _turned(second.high, None if self.found is None else self.found.high_limit),
        )

    def usual(self, row: int, column: int) -> bool:
        """The burner relights above its high-fire point."""
        rate = self.second.rate
        return rate is None or bool(self.second.operating.lower[row] >= rate.lower[column] - NOISE)

    def weights(self, place: tuple[int, int, int]) -> tuple[float, ...]:
        rooms = ((_at(self.second.rooms[code], place) / unit, code in TRULY_BELOW) for code, unit in self.units.items())
        return tuple(sorted(min(PLENTY, weight) for weight, _ in rooms))

    def turned_at(self, place: tuple[int, int, int]) -> int:
        return sum(axis[index] for axis, index in zip(self.turned, place, strict=True))


def _turned(dial: Dial, reading: DialReading | None) -> list[int]:
    """How many of its scales each position turns away from what was read."""
    if reading is None:
        return [0] * len(dial.main)
    width = reading.differential
    return [
        (abs(main - reading.main) > NOISE) + (width is not None and abs(across - width) > NOISE)
        for main, across in zip(dial.main.tolist(), dial.width.tolist(), strict=True)
    ]


def _at(room: Floats, place: tuple[int, int, int]) -> float:
    return float(room[tuple(index if size > 1 else 0 for index, size in zip(place, room.shape, strict=True))])


def places_that_fit(second: SecondOpinion) -> Iterator[tuple[int, int, int]]:
    """Plain loops over the three controls, each demand looked at by itself."""
    rows, columns, highs = second.shape
    for row in range(rows):
        if second.operating.lower[row] <= 0:
            continue
        for column in range(columns):
            for high in range(highs):
                place = (row, column, high)
                if all(
                    _at(room, place) >= (NOISE if code in TRULY_BELOW else -NOISE)
                    for code, room in second.rooms.items()
                ):
                    yield place


def best_by_loops(weighed: Weighed) -> Best | None:
    places = list(places_that_fit(weighed.second))
    if not places:
        return None
    least = min(weighed.starts[row] for row, _, _ in places)
    places = [each for each in places if weighed.starts[each[0]] <= band_above(least)]
    practised = [each for each in places if weighed.usual(each[0], each[1])]
    places = practised or places
    fewest = min(map(weighed.turned_at, places))
    places = [each for each in places if weighed.turned_at(each) == fewest]
    return Best(
        fewest_starts=least,
        usual=bool(practised),
        fewest_turned=fewest,
        widest=max(map(weighed.weights, places)),
    )


def band_above(least: float) -> float:
    """Within a tenth of the fewest, or within 0.3 an hour, starts are equally few [1/s]."""
    return max(1.1 * least, least + 0.3 / 3600) * (1 + 1e-9)


class Program:
    """One of every position of each control, as integers that are nought or one, and every demand a straight line.

    The motion of each position is a constant of that position. The fire at cut-out is low fire: where low fire comes
    first, as it is demanded, that is the fire.
    """

    def __init__(self, weighed: Weighed) -> None:
        self.weighed, self.second = weighed, weighed.second
        self.sizes = self.second.shape
        self.count = sum(self.sizes)
        ones = np.zeros((3, self.count + 1))
        start = 0
        for axis, size in enumerate(self.sizes):
            ones[axis, start : start + size] = 1
            start += size
        self.constraints = [LinearConstraint(ones, 1, 1)]
        for code, parts in _linear_rooms(self.second).items():
            least = NOISE if code in TRULY_BELOW else -NOISE
            self.constraints.append(LinearConstraint(self._line(parts)[None, :], least / PSI, np.inf))
        barred = self._line((np.where(self.second.operating.lower > 0, 0.0, PSI), None, None))
        self.constraints.append(LinearConstraint(barred[None, :], 0, 0))

    def _line(self, parts: "Parts") -> Floats:
        """A row of coefficients over every position [psi], and none for the smallest margin."""
        values = [np.zeros(size) if part is None else part / PSI for part, size in zip(parts, self.sizes, strict=True)]
        return np.concatenate([*values, [0.0]])

    def least(self, goal: Floats) -> float | None:
        whole = np.concatenate([np.ones(self.count), [0.0]])
        bounds = Bounds(
            np.concatenate([np.zeros(self.count), [-np.inf]]), np.concatenate([np.ones(self.count), [PLENTY]])
        )
        solved = milp(
            goal, constraints=self.constraints, integrality=whole, bounds=bounds, options={"mip_rel_gap": 0.0}
        )
        return None if solved.x is None else float(solved.fun)

    def best(self) -> tuple[float, bool, int, float] | None:
        """Fewest starts, whether practice can be kept, fewest dials turned, widest smallest margin."""
        starts = np.array([each if np.isfinite(each) else 0.0 for each in self.weighed.starts]) * 3600 * PSI
        least = self.least(self._line((starts, None, None)))
        if least is None:
            return None
        band = band_above(least / 3600) * 3600
        self.constraints.append(LinearConstraint(self._line((starts, None, None))[None, :], -np.inf, band))
        practised = self._practised()
        turned = self._line(tuple(np.array(axis) * PSI for axis in self.weighed.turned))  # type: ignore[arg-type]
        fewest = self.least(turned)
        assert fewest is not None
        self.constraints.append(LinearConstraint(turned[None, :], -np.inf, round(fewest) + 0.5))
        for code, parts in _linear_rooms(self.second).items():
            if code in self.weighed.units:
                line = self._line(parts) * (PSI / self.weighed.units[code])
                line[-1] = -1.0
                self.constraints.append(LinearConstraint(line[None, :], 0, np.inf))
        narrowest = self.least(np.concatenate([np.zeros(self.count), [-1.0]]))
        assert narrowest is not None
        return least / 3600, practised, round(fewest), -narrowest

    def _practised(self) -> bool:
        rate = self.second.rate
        if rate is None:
            return True
        line = self._line((self.second.operating.lower, -rate.lower, None))
        usual = LinearConstraint(line[None, :], -NOISE / PSI, np.inf)
        self.constraints.append(usual)
        if self.least(np.zeros(self.count + 1)) is not None:
            return True
        self.constraints.remove(usual)
        return False


Part = Floats | None
Parts = tuple[Part, Part, Part]


def _linear_rooms(second: SecondOpinion) -> dict[str, Parts]:
    """The rooms as sums over the three axes; each constant stands on the axis of its control."""
    operating, rate, high, motion = second.operating, second.rate, second.high, second.motion
    # What works out its own band may be stopped from full fire.
    low = motion.low_share(second.burner) if rate is not None else 1.0
    rise = np.array([motion.run_on(second.burner, each, low) for each in operating.upper])
    pairs = zip(operating.lower.tolist(), operating.upper.tolist(), strict=True)
    lowest_fire = motion.low_share(second.burner)
    fall = np.array(
        [
            motion.undershoot(second.burner, lower, upper - lower, lowest_fire) if lower > 0 else 0
            for lower, upper in pairs
        ]
    )
    highest, lowest = operating.upper + operating.off + rise, operating.lower - operating.off - fall
    at_low_fire: dict[str, Parts] = {
        "cut-out-clear-of-high-limit": (-highest, None, high.upper - high.off),
        "cut-out-below-high-limit": (-operating.upper, None, high.upper),
    }
    for code, room in second.rooms.items():
        if code in at_low_fire:
            continue
        axes = [axis for axis, size in enumerate(room.shape) if size > 1]
        if code == "low-fire-before-cut-out":
            early = operating.upper - operating.off
            at_low_fire[code] = (early, room[0, :, 0] - early[0], None)
        elif code in {"restart-holds-need", "hold-below-restart"}:
            limit = second.need if code == "restart-holds-need" else second.highest_hold
            at_low_fire[code] = (lowest - limit, None, None)
        elif 0 in axes:
            ceiling = float(np.ravel(room + second.highest)[0])
            at_low_fire[code] = (ceiling - highest, None, None)
        else:
            parts: list[Part] = [None, None, None]
            axis = axes[0] if axes else 2
            parts[axis] = np.broadcast_to(np.ravel(room), (second.shape[axis],))
            at_low_fire[code] = (parts[0], parts[1], parts[2])
    return at_low_fire


def coarse_plant(seed: int) -> tuple[Plant, Boiler]:
    """Every other plant was found with its dials somewhere, so that there is something to leave alone."""
    random_one = random_plant(seed, always_coarse=True)
    plant, boiler = random_one.plant, random_one.boiler
    if seed % 2:
        return plant, boiler
    chance, second = random.Random(seed), SecondOpinion(plant, boiler)

    def reading(dial: Dial, *, paired: bool) -> DialReading:
        place = chance.randrange(len(dial.main))
        width = DiffPa(float(dial.width[place])) if paired else None
        return DialReading(main=GaugePa(float(dial.main[place])), differential=width)

    settings = Settings(
        operating_limit=reading(second.operating, paired=True),
        high_limit=reading(second.high, paired=False),
        firing_rate=None if second.rate is None else reading(second.rate, paired=True),
    )
    boiler = replace(boiler, as_found=AsFound(settings=settings))
    return replace(plant, boilers=(boiler,)), boiler


@pytest.mark.parametrize("seeds", list(chunks(COUNT, IN_ONE_TEST)), ids=lambda seeds: f"{seeds.start}-{seeds.stop - 1}")
def test_loops_and_an_integer_program_find_the_same_verdict_and_nothing_better(seeds: range) -> None:
    fitting = sum(_is_no_worse(seed) for seed in seeds)
    assert 0 < fitting < len(seeds)


def test_usual_practice_is_kept_where_later_goals_would_choose_against_it() -> None:
    assert _is_no_worse(PRACTICE_DECIDES)


def _is_no_worse(seed: int) -> bool:
    """Compare one plant; whether anything fits."""
    plant, boiler = coarse_plant(seed)
    answer = settle(plant, boiler)
    weighed = Weighed(plant, boiler)
    by_loops, by_program = best_by_loops(weighed), Program(weighed).best()
    assert isinstance(answer, Fits | NothingFits), seed
    assert (by_loops is not None) is isinstance(answer, Fits), seed
    assert (by_program is not None) is isinstance(answer, Fits), seed
    if not isinstance(answer, Fits):
        return False
    assert by_loops is not None
    assert by_program is not None
    _compare(seed, weighed, answer, by_loops)
    starts, practised, turned, narrowest = by_program
    assert starts == pytest.approx(by_loops.fewest_starts, rel=1e-5, abs=1e-9), seed
    assert (practised, turned) == (by_loops.usual, by_loops.fewest_turned), seed
    assert narrowest == pytest.approx(by_loops.widest[0], abs=1e-4), seed
    return True


def _compare(seed: int, weighed: Weighed, answer: Fits, best: Best) -> None:
    settings, second = answer.chosen.settings, weighed.second
    place = (
        place_of(second.operating, settings.operating_limit),
        0 if second.rate is None else place_of(second.rate, settings.firing_rate),
        place_of(second.high, settings.high_limit),
    )
    assert weighed.starts[place[0]] <= band_above(best.fewest_starts) * (1 + 1e-6), seed
    assert weighed.usual(place[0], place[1]) is best.usual, seed
    assert weighed.turned_at(place) == best.fewest_turned, seed
    assert weighed.weights(place) == pytest.approx(best.widest, abs=HAIR), seed
