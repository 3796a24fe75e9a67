"""Wording of the rules on the pressure stack."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

STACK: Final = {
    "cut-out-below-high-limit": Entry(
        finding=Words(
            what="The operating limit cuts out at {observed}, not below the high limit at {limit}.",
            why="The high limit then does the daily work, and nothing stands behind it.",
            do="Do not fire until they are in order. {remedies}",
            confirm="Prove the high limit, then the operating limit, against a gauge.",
        ),
        clear="The operating limit cuts out {margin} below the high limit.",
    ),
    "high-limit-within-mawp": Entry(
        finding=Words(
            what="The high limit trips at {observed}, above the MAWP of {limit}.",
            why="The boiler is not made for more than its nameplate says.",
            do="Do not fire. {remedies}",
            confirm="Prove the trip against a gauge: at or below {limit}.",
        ),
        clear="The high limit trips within the MAWP, {margin} to spare.",
    ),
    "high-limit-within-low-pressure": Entry(
        finding=Words(
            what="The high limit trips at {observed}; on a low-pressure boiler it belongs at {limit} or below.",
            why="A heating boiler is not made for more.",
            do="Do not fire. {remedies}",
            confirm="Prove the trip against a gauge: at or below {limit}.",
        ),
        clear="The high limit trips within the ceiling of a low-pressure boiler, {margin} to spare.",
    ),
    "high-limit-below-valve": Entry(
        finding=Words(
            what="The high limit may trip as late as {observed}; the lowest safety valve is set at {limit}.",
            why="The valve may lift before the limit has acted at all.",
            do="Do not fire. {remedies}",
            confirm="Prove the trip against a gauge, and enter it as proved.",
        ),
        clear="The high limit trips below the lowest safety valve, {margin} to spare.",
    ),
    "high-limit-stops-before-valve": Entry(
        finding=Words(
            what="After a trip at full fire with no load the pressure may run on to {observed}; "
            "a safety valve may lift at {limit}.",
            why="Heat that is on its way still arrives after the fire is out.",
            do="{remedies} A proved high limit or a measured run-on may narrow the gap.",
            confirm="Prove the trip against a gauge; read how far the pressure runs on after a stop.",
        ),
        clear="The high limit stops full fire {margin} below the earliest lift of a safety valve.",
    ),
    "cut-out-within-downstream-rating": Entry(
        finding=Words(
            what="Normal work may reach {observed}; something downstream without relief of its own is rated {limit}.",
            why="No safety valve of the boiler protects it.",
            do="Do not fire it like this. {remedies} Or have relief fitted downstream.",
            confirm="Read the highest pressure after three cut-outs: at or below {limit}.",
        ),
        clear="Normal work stays within the lowest rating downstream, {margin} to spare.",
    ),
    "cut-out-clear-of-high-limit": Entry(
        finding=Words(
            what="After cut-out the pressure may run on to {observed}; the high limit may trip as early as {limit}.",
            why="It trips for nothing, and people learn to reset it without looking.",
            do="{remedies} Leave the high limit where it is.",
            confirm="Watch three cut-outs: no trip.",
        ),
        clear="After cut-out the pressure stays {margin} below the high limit.",
    ),
    "working-pressure-below-valve": Entry(
        finding=Words(
            what="Normal work may reach {observed}; to keep its distance from the safety valve it stays at or below "
            "{limit}.",
            why="A valve that simmers soon leaks.",
            do="{remedies}",
            confirm="See the safety valve dry at cut-out.",
        ),
        clear="Normal work keeps its distance from the safety valve, {margin} to spare.",
    ),
    "working-pressure-below-reseat": Entry(
        finding=Words(
            what="Normal work may reach {observed}; a safety valve that has lifted may stay open down to {limit}.",
            why="It would go on blowing while the boiler works.",
            do="{remedies}",
            confirm="Read the highest pressure after three cut-outs: below {limit}.",
        ),
        clear="A safety valve that has lifted closes {margin} above normal work.",
    ),
    "cut-out-within-wish": Entry(
        finding=Words(
            what="Normal work may reach {observed}; nobody wants to see more than {limit}.",
            why="The operating limit belongs where the highest wanted pressure is.",
            do="{remedies}",
            confirm="Read the highest pressure after three cut-outs: at or below {limit}.",
        ),
        clear="Normal work stays within the highest pressure wanted, {margin} to spare.",
    ),
    "low-fire-before-cut-out": Entry(
        finding=Words(
            what="The operating limit may cut out at {limit}, before the burner is down at low fire ({observed}).",
            why="That is short cycling: the fire is shut off while it could still come down, and has to start again.",
            do="{remedies}",
            confirm="Let the load fall: the burner stands at low fire before it cuts out.",
        ),
        clear="Low fire is reached {margin} before cut-out.",
    ),
    "need-at-full-load": Entry(
        finding=Words(
            what="At full load the pressure may stand at {observed}; the plant needs {limit}.",
            why="The users go short when they draw most.",
            do="{remedies}",
            confirm="Read the gauge at full load: {limit} or more.",
        ),
        clear="At full load the plant has its pressure, {margin} to spare.",
    ),
    "restart-holds-need": Entry(
        finding=Words(
            what="While the burner restarts the pressure may fall to {observed}; the plant needs {limit}.",
            why="It goes on falling while the burner purges and lights.",
            do="{remedies} A shorter start chain helps too, within what maker and code allow.",
            confirm="Read the lowest pressure of three restarts: {limit} or more.",
        ),
        clear="Through a restart the plant keeps its pressure, {margin} to spare.",
    ),
    "hold-below-restart": Entry(
        finding=Words(
            what="The low-fire hold may still hold at {observed}; a restart may fall to {limit}.",
            why="Caught there with a load on, the boiler stays at low fire for good.",
            do="{remedies}",
            confirm="Watch a restart: the burner goes beyond low fire.",
        ),
        clear="The low-fire hold lets go {margin} below the lowest pressure of a restart.",
    ),
    "hold-below-full-load": Entry(
        finding=Words(
            what="The low-fire hold may still hold at {observed}; at full load the pressure may stand at {limit}.",
            why="Caught there with a load on, the boiler stays at low fire for good.",
            do="{remedies}",
            confirm="Watch full load: the burner stands at high fire.",
        ),
        clear="The low-fire hold lets go {margin} below the pressure of full load.",
    ),
    "cut-in-above-high-fire": Entry(
        finding=Words(
            what="The burner restarts at {observed}, below the high-fire point at {limit}.",
            why="It is asked for full fire as soon as it is lit.",
            do="{remedies}",
            confirm="Watch a restart: the burner does not run up to full fire at once.",
        ),
        clear="The burner restarts {margin} above the high-fire point.",
    ),
}
"""By rule code."""
