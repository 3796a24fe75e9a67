"""Short names of the demands on a pressure stack, for a line in a list of margins."""

from typing import Final

DEMANDS: Final = {
    "cut-out-below-high-limit": "cut-out under the high limit",
    "high-limit-within-mawp": "high limit within the MAWP",
    "high-limit-within-low-pressure": "high limit within 15 psi",
    "high-limit-below-valve": "high limit under the safety valve",
    "high-limit-stops-before-valve": "high limit stops full fire before a valve lifts",
    "cut-out-within-downstream-rating": "normal work within the rating downstream",
    "cut-out-clear-of-high-limit": "no trip for nothing after cut-out",
    "working-pressure-below-valve": "normal work well under the safety valve",
    "working-pressure-below-reseat": "a lifted valve closes again",
    "cut-out-within-wish": "normal work within the wish",
    "low-fire-before-cut-out": "low fire before cut-out",
    "need-at-full-load": "the need at full load",
    "restart-holds-need": "the need through a restart",
    "hold-below-restart": "hold released through a restart",
    "hold-below-full-load": "hold released at full load",
}
