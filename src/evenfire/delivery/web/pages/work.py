"""How far long work has come, and stopping it."""

from fastapi import APIRouter, HTTPException, Request

from evenfire.delivery.web.door.rights import Reader, Writer
from evenfire.delivery.web.work import Standing, Work

router = APIRouter()
NOT_KEPT = "There is no such work any more. Load the page again."


@router.get("/progress/{work}")
def how_far(request: Request, work: str, _visitor: Reader) -> dict[str, object]:
    """How far one piece of work has come."""
    return _told(_work(request).standing(work))


@router.delete("/progress/{work}")
def stop(request: Request, work: str, _visitor: Writer) -> dict[str, object]:
    """Stop it at its next step."""
    _work(request).stop(work)
    return _told(_work(request).standing(work))


def _work(request: Request) -> Work:
    found: Work = request.app.state.work
    return found


def _told(standing: Standing | None) -> dict[str, object]:
    if standing is None:
        raise HTTPException(404, NOT_KEPT)
    return {
        "done": standing.done,
        "total": standing.total,
        "what": standing.what,
        "state": standing.state.value,
        "ended": standing.has_ended,
    }
