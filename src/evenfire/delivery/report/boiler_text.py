"""Lines about one boiler that several answers share."""

from evenfire.delivery.answers import BoilerCheck, Identity
from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding, UnitSystem, number_in
from evenfire.delivery.words import CAUTIONS_IN_SHORT, name_of_key
from evenfire.delivery.words.saying import closed_form
from evenfire.judgement.behaviour import Cycling
from evenfire.judgement.case import Case
from evenfire.judgement.standing import Standing
from evenfire.plant.boiler import Boiler, Kind
from evenfire.plant.known import Missing
from evenfire.plant.load import steady_loads
from evenfire.si import Dimension, Quantity

KINDS = {
    Kind.FIRETUBE: "fire-tube",
    Kind.WATERTUBE: "water-tube",
    Kind.VERTICAL: "vertical",
    Kind.CAST_IRON: "cast-iron",
    Kind.COIL: "coil",
}


def who(plant_file: PlantFile, boiler: Boiler) -> str:
    """Site and boiler."""
    return f"{plant_file.plant.site.name}, boiler {boiler.name}"


def nameplate(boiler: Boiler, page: Page) -> str:
    """Kind, size and MAWP in one phrase."""
    output = "" if boiler.output is None else f", {_size(boiler.output, page)}"
    return f"{KINDS[boiler.kind]}{output}, MAWP {page.show(Quantity(boiler.mawp, Dimension.GAUGE_PRESSURE))}"


def _size(output: float, page: Page) -> str:
    """Output as the trade calls it: boiler horsepower where the reader's units have it."""
    power = Quantity(output, Dimension.POWER)
    if page.system is not UnitSystem.US:
        return page.show(power)
    horsepower = number_in(power, "bhp")
    return f"{horsepower:,.0f} bhp" if horsepower >= 100 else f"{horsepower:.3g} bhp"


def which_settings(check: BoilerCheck) -> str:
    """Which set of settings is judged, and from when."""
    read = check.case.settings.read_on
    when = "" if read is None else f", read {read.isoformat()}"
    stale = ""
    if check.is_stale:
        stale = " (STALE: the survey has changed since they were proposed)"
    elif check.beside_stale:
        stale = " The file also holds a STALE proposal: the survey has changed since. Settle again"
    return f"Settings {check.case.which.value}{when}{stale}."


def standing_lines(standing: Standing, case: Case, page: Page) -> list[str]:
    """The numbers that no dial shows."""
    lines = []
    if not isinstance(standing.storage, Missing):
        stored = page.show(Quantity(standing.storage.value, Dimension.STORAGE))
        lines.append(f"The water stores {stored} at cut-out.")
    if not isinstance(standing.highest, Missing) and not isinstance(standing.lowest, Missing):
        low = closed_form(Quantity(standing.lowest, Dimension.GAUGE_PRESSURE), page.show, Rounding.DOWN)
        high = page.show(Quantity(standing.highest, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
        lines.append(f"Cycling, it swings between {low} and {high} at worst.")
    if not isinstance(standing.share_at_cut_out, Missing):
        share = page.show(Quantity(standing.share_at_cut_out, Dimension.FRACTION))
        lines.append(f"The burner stands at {share} of full fire at cut-out: it cycles at every load below that.")
    if isinstance(standing.cycling, Missing):
        keys = "; ".join(name_of_key(key) for key in standing.cycling.keys)
        lines.append(f"Starts an hour: not judged. Missing: {keys}.")
    else:
        lines.append(cycling_line(standing.cycling, case, page))
    return lines


def cycling_line(cycling: Cycling, case: Case, page: Page) -> str:
    """Starts at the load that cycles most, with how far the estimate may be trusted."""
    if cycling.starts == 0.0:
        return "At the loads of the survey it does not cycle."
    starts = f"{3600 * cycling.starts:.1f} starts an hour"
    load = page.show(Quantity(cycling.load_share, Dimension.FRACTION))
    surveyed = case.load.demand is not None and steady_loads(case.load.demand)
    at = f"at {load} load, {'of those surveyed the one' if surveyed else 'the load'} that cycles most"
    if cycling.within_range:
        return f"Up to {starts} {at}."
    return f"At least {starts} {at}; it fires above low fire for part of the cycle, which makes cycles shorter still."


def assumption_lines(plant_file: PlantFile, page: Page, *, motion: bool = False) -> list[str]:
    """Every value that was assumed, with the key that makes it unnecessary; with ``motion`` also those of a run."""
    several = len(plant_file.plant.boilers) > 1
    lines = []
    for each in plant_file.filled_for_motion if motion else plant_file.filled:
        whose = f" (boiler {each.boiler})" if several and each.boiler is not None else ""
        value = each.assumption.shows or page.show(each.value)
        lines.append(f"{' or '.join(each.assumption.keys)}{whose}: {value}. {each.assumption.name}.")
    return lines


def several_boilers(plant_file: PlantFile, page: Page) -> str:
    """What is not looked at where several boilers work together."""
    site = plant_file.plant.site
    if len(plant_file.plant.boilers) < 2:
        return ""
    header = {
        True: "They share a header, so the lowest MAWP and the first valve of them all bound each.",
        False: "They share no header.",
        None: "Whether they share a header is not said (key site.boilers_share_header): if they do, these answers are "
        "wrong.",
    }[site.boilers_share_header]
    return page.paragraph(
        f"SEVERAL BOILERS: each is judged on its own. {header} Which leads and which follows is not settled here."
    )


def made_from(identity: Identity) -> str:
    """What the answer was made from and by."""
    return (
        f"Survey {identity.plant_revision[:12]}, evenfire {identity.engine_version}, rule book "
        f"{identity.rule_book_version}."
    )


def cautions(page: Page) -> str:
    """The cautions that travel with every answer that tells somebody to do something."""
    return "\n".join(page.paragraph(line) for line in CAUTIONS_IN_SHORT)
