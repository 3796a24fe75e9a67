"""What the page of papers says: what each paper is for, what it needs, and why there is none."""

from typing import Final

PAPERS: Final = {
    "sheet": ("Settings sheet", "Where each control is to stand, why, and what was shown in motion. For the binder."),
    "record": ("As-found record", "The settings as they were found, marked as a record and no advice. For evidence."),
    "card": ("Operator card", "One page at the boiler: what is normal, when to stop it, whom to call."),
    "report": ("Visit report", "Everything that was read, tested and changed on the visit."),
}
"""Name of each paper and what it is for."""
OPEN: Final = "The visit is open: this paper is marked NOT SIGNED."
FROM_SURVEY: Final = "Made from the survey, not from a signed visit, and says so."
SIGNED: Final = "As it was signed, with every amendment since."
WHICH: Final = "Settings {which}."
PROVED_FIRST: Final = "What keeps the boiler safe is shown in motion before it is printed; that may still refuse it."
NO_VISIT: Final = "There is no visit to report. Open one, or sign the one that is open."
NOTHING_FOUND: Final = "No dial was read as found, so there is nothing to record."
NOTHING_READ: Final = "No pressure is known, so there is nothing for a card to tell. Read the dials first."
NO_OTHER_SETTINGS: Final = "Nothing is proposed and nothing was left: settle first, or print the as-found record."
LEAVE_IT: Final = "Cure it first."
ANSWER_FOR_IT: Final = "Find out what is missing, or answer for it by name; the paper says so at its head."
NO_SURVEY: Final = "There is no survey of this boiler yet, and nothing to print."
ONLY_HERE: Final = (
    "This server answers only on this computer: on a phone the code would open nothing. Serve the phone with "
    "evenfire serve --listen ADDRESS --self-signed (docs/how-to/serve.md), then open this page at that address."
)
GONE: Final = "That paper is not kept any more: press its button again."
STOPPED: Final = "It was stopped; nothing was printed."
FAILED: Final = "The program failed while it made this paper. Try again; if it fails again, tell who looks after it."
