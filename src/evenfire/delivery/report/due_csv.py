"""What comes due as a table for a spreadsheet: no cell can start a formula, whatever somebody named a boiler.

UTF-8 with a byte-order mark, because spreadsheets take a file without one for the old code page of the machine;
programs read ``--json``. Lines end as RFC 4180 has it.
"""

import csv
import io
import re
from typing import Final

from evenfire.delivery.report import due_phrases as phrases
from evenfire.delivery.report.due_answer import DueList, DueRow
from evenfire.delivery.words import due as words

MARK: Final = "\ufeff"
COLUMNS: Final = (
    "state",
    "do on",
    "came due",
    "days late",
    "site",
    "boiler",
    "what",
    "which",
    "last done",
    "known from",
    "result",
    "failed on",
    "failed with",
    "every",
    "whose rule",
    "others ask",
    "sources conflict",
    "note",
)
_STARTS: Final = "=+\\-@\uff1d\uff0b\uff0d\uff20\u2212\ufe62\ufe63\ufe66\ufe6b"
"""What a spreadsheet takes for the begin of a formula, in the wide and small forms of other keyboards as well."""
_FORMULA: Final = re.compile(rf"(^|[,;|])([\s\"'\u00a0\u200b\ufeff]*)(?=[{_STARTS}])")
_CONTROLS: Final = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029]+")


def due_csv(due: DueList) -> bytes:
    """The whole file."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in due.rows:
        writer.writerow([harmless(each) for each in _cells(row, due)])
    return f"{MARK}{text.getvalue()}".encode()


def harmless(text: str) -> str:
    """A cell that no spreadsheet takes for a formula, also where it cuts lines at semicolons instead of commas.

    Tabs, line ends and other control signs become a space; an apostrophe stands before whatever could start a formula.
    """
    plain = _CONTROLS.sub(" ", text).strip()
    return _FORMULA.sub(r"\1'\2", plain)


def _cells(row: DueRow, due: DueList) -> tuple[str, ...]:
    last, failed, boiler = row.last, row.failed, row.boiler
    late = phrases.days_late(row, due.today.toordinal())
    used, *others = row.asks
    return (
        row.urgency.value,
        row.on.isoformat(),
        "" if row.due is None else row.due.isoformat(),
        str(late) if late else "",
        "" if boiler is None else boiler.site.name,
        "" if boiler is None else boiler.name,
        row.item,
        row.part,
        "" if last is None else last.on.isoformat(),
        "" if last is None else last.told.value,
        "" if last is None else last.result,
        "" if failed is None else failed.on.isoformat(),
        "" if failed is None else failed.result,
        words.length(used.every),
        words.whose(used.whose, used.source, is_from_memory=used.is_from_memory),
        ", ".join(
            f"{words.whose(each.whose, each.source, is_from_memory=each.is_from_memory)} {words.every(each.every)}"
            for each in others
        ),
        "yes" if row.codes_differ else "",
        phrases.note(row),
    )
