"""What comes due as a paper: the same rows in the same order as on the screen."""

from evenfire.delivery.papers.content import DueContent, DueLine, Head
from evenfire.delivery.report import due_phrases as phrases
from evenfire.delivery.report.due_answer import DueList, DueRow, Urgency
from evenfire.delivery.words import CAUTIONS
from evenfire.delivery.words import due as due_words
from evenfire.delivery.words import papers as words


def due_content(due: DueList) -> DueContent:
    """Everything that stands on the paper."""
    places = {phrases.where(each) for each in due.rows if each.boiler is not None}
    only = next(each.boiler for each in due.rows if each.boiler is not None) if len(places) == 1 else None
    is_marked = any(ask.is_from_memory for row in due.rows for ask in row.asks)
    until = "" if due.until is None else f", until {due.until}"
    return DueContent(
        head=Head(
            title=words.DUE,
            site=due_words.counted(due.boilers, "boiler") if only is None else only.site.name,
            boiler="" if only is None else only.name,
            plate="",
            state=f"As of {due.today}{until}",
            notices=(
                *phrases.not_verified(due),
                *phrases.to_be_known(due),
                *((due_words.CONFIRM,) if is_marked else ()),
            ),
            day=due.today,
        ),
        lines=tuple(_line(each, due) for each in due.rows),
        nothing=words.NOTHING_DUE,
        cautions=CAUTIONS,
    )


def _line(row: DueRow, due: DueList) -> DueLine:
    told = "" if row.failed is None else f"FAILED {phrases.done(row.failed)}. {phrases.to_do(row)}"
    last = phrases.last_time(row)
    passed = f"Last: {last}." if told else f"{last[0].upper()}{last[1:]}."
    return DueLine(
        due=due_words.AT_ONCE if row.due is None or row.urgency is Urgency.FAILED else str(row.due),
        boiler=phrases.where(row),
        what=phrases.what(row),
        last=" ".join(each for each in (told, passed, phrases.note(row)) if each),
        why=phrases.how_often(row),
        overdue=row.due is not None and row.due < due.today,
    )
