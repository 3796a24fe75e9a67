"""A visit report and a due list with everything on them that they can hold; all of it invented."""

from datetime import date
from io import BytesIO

from PIL import Image

from evenfire.delivery.papers.content import (
    CorrectionLine,
    DeviceTestLine,
    DialLine,
    DoneLine,
    DueContent,
    DueLine,
    Head,
    PhotoLine,
    SignedPart,
    Stated,
    TemporaryChangeLine,
    Told,
    TripTestLine,
    VisitContent,
)
from evenfire.delivery.papers.shared_parts import signed_by
from evenfire.delivery.words.cautions import CAUTIONS

RECORD = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
FINGERPRINT = "60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752"
SIGNED = SignedPart(
    signer="Imke Tarrow",
    licence="HB-2214",
    role="service engineer",
    signed_at="2026-11-25T13:40:00Z",
    record=RECORD,
    fingerprint=" ".join(FINGERPRINT[place : place + 4] for place in range(0, 64, 4)),
)


def head(title: str, name: str = "") -> Head:
    return Head(
        title=title,
        site=name or "Gull Quay Laundry",
        boiler=name or "No. 1",
        plate="Fire-tube, 200 bhp, MAWP 150 psi.",
        state="AS LEFT 2026-11-25",
        day=date(2026, 11, 25),
        made_from="Survey ff02dee41f81, evenfire 0.1.0, rule book 2026.1. Physics 2026.1.",
    )


def picture() -> bytes:
    content = BytesIO()
    Image.new("RGB", (320, 200), (90, 120, 140)).save(content, "JPEG")
    return content.getvalue()


def trip(control: str, name: str) -> TripTestLine:
    return TripTestLine(
        control=control,
        method="True rise, burner at low fire by hand, somebody at the stop",
        gauge=f"Serial {name or 'RG-7'}, class 0.25, 0 to 200 psi, calibrated 2026-06-02",
        asked="139.8 psi, within 0.5 psi",
        readings="139.9, 139.8, 139.9, 139.8 psi",
        result="139.85 psi at the boiler",
        uncertainty="0.32 psi, coverage factor 2.1",
        accepted="up to 140.0 psi, guard band taken off",
        verdict="PASSED",
        passed=True,
        reset="Stayed off until a hand reset it; a reset at 137 psi was not taken",
        do="",
        note=name or "Quiet.",
    )


def visit(name: str = "") -> VisitContent:
    """A full report; with a name, every text that a person may type is that name."""
    return VisitContent(
        head=head("Visit report", name),
        left="In service, watched through four cycles.",
        call=(
            Stated(name="Why", text=name or "Short cycling."),
            Stated(name="Agreed for the plant", text=name or "Ask"),
        ),
        findings=(Told(label="WARN", text=name or "The fire is shut off early.", beside=("Why.", name or "Do.")),),
        not_judged=(name or "Nothing more.",),
        temporary=(
            TemporaryChangeLine(
                what=name or "Operating limit up to 150 psi",
                reason=name or "Trip test of the high limit",
                opened=f"{name or 'I. Tarrow'}, 2026-11-25 11:02",
                closed="still open" if name else "I. Tarrow, 2026-11-25 11:31",
                verified=name or "B. Ossel",
                is_open=bool(name),
            ),
        ),
        trips=(trip("High limit", name), trip("Operating limit", name)),
        devices=(
            DeviceTestLine(
                device="Low-water cutoff", result="stops the burner", limit="", verdict="WORKS", passed=True, note=name
            ),
            DeviceTestLine(device="Flame failure", result="3 s", limit="4 s", verdict="WITHIN", passed=True, note=name),
        ),
        moves=(
            DoneLine(
                number="1", what=name or "High-limit set point: up to 140 psi.", done=True, by=name or "I. T. 10:50"
            ),
            DoneLine(number="2", what="See three full cycles.", done=False, by=""),
        ),
        dials=(
            DialLine(dial="High-limit set point", as_found="130 psi", proposed="140 psi", as_left="140 psi"),
            DialLine(
                dial="Firing-rate set point",
                as_found="110 psi",
                proposed="110 psi",
                as_left="112 psi",
                flag="as left is not as proposed",
            ),
        ),
        proofs=(),
        photographs=(PhotoLine(picture=picture(), shows=name or "The dial of the high limit", hash=RECORD),),
        notes=(name or "The siphon drips.",),
        cautions=CAUTIONS,
        corrected=(
            CorrectionLine(
                what="Trip test 1, reading 2",
                was=name or "141.5 psi",
                now=name or "139.5 psi",
                by=f"{name or 'I. Tarrow'}, 2026-11-25 11:20 UTC",
            ),
        ),
        signing=signed_by(SIGNED, countersigned=name),
    )


def due(name: str = "") -> DueContent:
    """A list of things that are due."""
    return DueContent(
        head=head("Due list", name),
        lines=(
            DueLine(
                due="2026-11-02",
                boiler=name or "Gull Quay Laundry, No. 1",
                what=name or "Trip test of the high limit",
                last=name or "2025-11-02, passed",
                why=name or "a year, common practice",
                overdue=True,
            ),
            DueLine(due="2027-03-01", boiler="No. 1", what="Gauge RG-7", last="", why="certificate", overdue=False),
        ),
        nothing="Nothing is due.",
        cautions=CAUTIONS,
    )
