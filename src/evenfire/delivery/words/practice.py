"""Wording of the practice numbers and of what holds while a boiler warms up."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

PRACTICE: Final = {
    "high-limit-gap-usual": Entry(
        finding=Words(
            what="The high limit stands {observed} above cut-out; {limit} is usual here.",
            why="Too close, it trips for nothing.",
            do="{remedies} Leave the high limit where it is.",
            confirm="Watch three cut-outs: no trip.",
        ),
        clear="The high limit stands as far above cut-out as is usual.",
    ),
    "valve-gap-usual": Entry(
        finding=Words(
            what="The high limit stands {observed} below the lowest safety valve; {limit} is usual here.",
            why="Both may be off, towards each other.",
            do="{remedies}",
            confirm="Prove the trip against a gauge.",
        ),
        clear="The high limit stands as far below the safety valve as is usual.",
    ),
    "low-fire-hold-fitted": Entry(
        finding=Words(
            what="No low-fire hold: in automatic it goes to full fire from cold.",
            why="Below its firing band the firing-rate control asks for all there is, and metal warms unevenly.",
            do="Have one fitted. Until then: in manual at low fire from the first flame, with somebody there, at least "
            "until it steams; slower where its maker says so.",
            confirm="Attend the next cold start: the burner stays at low fire until it steams.",
        ),
        variants=(
            (
                "to a pressure",
                Words(
                    what="No low-fire hold: in automatic it goes to full fire from cold; low fire to {limit} or a "
                    "little more is usual.",
                    why="Below its firing band the firing-rate control asks for all there is, and metal warms "
                    "unevenly.",
                    do="Have one fitted. Until then: in manual at low fire from the first flame, with somebody there, "
                    "until {limit}; slower where its maker says so.",
                    confirm="Attend the next cold start: the burner stays at low fire until {limit}.",
                ),
            ),
        ),
        clear="A low-fire hold is fitted for warming up.",
    ),
    "hold-usual-low-pressure": Entry(
        finding=Words(
            what="The low-fire hold lets go at {observed}; {limit} or a little more is usual.",
            why="The boiler is asked for its full fire before there is steam to speak of.",
            do="See how the maker wants it warmed; `evenfire settle` chooses a hold that no dip falls into.",
            confirm="Attend the next cold start.",
        ),
        variants=(
            (
                "high",
                Words(
                    what="The low-fire hold lets go at {observed}; {limit} or a little less is usual.",
                    why="A dip under load may fall into it and pin the boiler at low fire.",
                    do="{remedies}",
                    confirm="Watch a pick-up: the burner goes beyond low fire.",
                ),
            ),
        ),
        clear="The low-fire hold lets go where it usually does.",
    ),
    "hold-usual-watertube": Entry(
        finding=Words(
            what="The low-fire hold lets go at {observed}; a water-tube boiler generally stays at low fire to {limit}.",
            why="Drum and tubes warm unevenly under a large fire.",
            do="See how the maker wants it warmed; `evenfire settle` chooses a hold that no dip falls into.",
            confirm="Attend the next cold start.",
        ),
        clear="The low-fire hold lasts as long as it generally does.",
    ),
    "warm-up-rate": Entry(
        finding=Words(
            what="The drum warmed at {observed}; {limit} is the most unless the maker says otherwise.",
            why="Thick walls heated fast strain their own metal.",
            do="Warm it slower: low fire with pauses, attended, by the maker's schedule.",
            confirm="Log the pressure through the next cold start.",
        ),
        clear="The drum warms slowly enough, {margin} to spare.",
    ),
    "refractory-schedule": Entry(
        finding=Words(
            what="The refractory is new and there is no drying schedule.",
            why="Refractory dried by guess cracks.",
            do="Ask the supplier for the schedule before you fire.",
            confirm="Enter the schedule that was followed.",
        ),
        clear="There is no new refractory without its schedule.",
    ),
}
"""By rule code."""
