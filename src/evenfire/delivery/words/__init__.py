"""Wording: what is said of every outcome, once, for terminal, paper, pages and JSON alike."""

from evenfire.delivery.words.cautions import CAUTIONS, CAUTIONS_IN_SHORT
from evenfire.delivery.words.entry import Entry, Said, Show, Words
from evenfire.delivery.words.names import (
    BASES,
    DIALS,
    PARTS,
    ROUTES,
    SEVERITIES,
    SEVERITIES_EXPLAINED,
    TERMS,
    name_of,
    name_of_key,
)
from evenfire.delivery.words.remedies import remedies_told
from evenfire.delivery.words.saying import ENTRIES, say

__all__ = [
    "BASES",
    "CAUTIONS",
    "CAUTIONS_IN_SHORT",
    "DIALS",
    "ENTRIES",
    "PARTS",
    "ROUTES",
    "SEVERITIES",
    "SEVERITIES_EXPLAINED",
    "TERMS",
    "Entry",
    "Said",
    "Show",
    "Words",
    "name_of",
    "name_of_key",
    "remedies_told",
    "say",
]
