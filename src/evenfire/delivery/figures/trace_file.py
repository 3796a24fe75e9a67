"""A trace as the bytes of a file: the same run gives the same bytes, whenever and wherever it is drawn."""

from io import BytesIO
from typing import Any, Final

import matplotlib as mpl
from matplotlib.figure import Figure

SUFFIXES: Final = (".svg", ".png", ".pdf")
_SHARP: Final = 192
"""Dots of a PNG per inch: two for each pixel of a plain screen, as phones have them."""
_SETTINGS: Final[dict[Any, Any]] = {
    "svg.hashsalt": "evenfire",
    "svg.fonttype": "none",
    "pdf.fonttype": 42,
    "hatch.linewidth": 0.7,
    "font.family": ["DejaVu Sans"],
}
_NO_DATE: Final[dict[str, dict[str, None]]] = {
    ".svg": {"Date": None, "Creator": None},
    ".png": {"Software": None},
    ".pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


def trace_bytes(figure: Figure, suffix: str) -> bytes:
    """The content of a file of that kind, one of ``SUFFIXES``."""
    content = BytesIO()
    with mpl.rc_context():
        mpl.rcParams.update(_SETTINGS)
        figure.savefig(content, format=suffix.removeprefix("."), dpi=_SHARP, metadata=_NO_DATE[suffix])
    return content.getvalue()
