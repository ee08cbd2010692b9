"""Least gaps that avoid crushing, against the printed table."""

from __future__ import annotations

from standoff.job.caution import CRUSH_GAPS_MM

# ISO 13854:2017 (formerly EN 349), Table 1, in millimetres; read in a secondary copy. Compared as it stands: no tolerance.
PRINTED_MM = {
    "body": "500",
    "head": "300",
    "leg": "180",
    "foot": "120",
    "toes": "50",
    "arm": "120",
    "hand": "100",
    "finger": "25",
}


def test_table_of_gaps() -> None:
    """Every part of the body with its printed gap, and no other part."""
    assert {part: float(gap) for part, gap in PRINTED_MM.items()} == dict(CRUSH_GAPS_MM)
