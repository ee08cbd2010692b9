"""Cautions that stand beside every levelling answer: each names the public standard or regulation, and none is a release."""

from __future__ import annotations

from standoff.job.caution import Caution

LEVEL_CAUTIONS = (
    Caution(
        "level-lockout",
        "Lock out both machines, power and air, before anyone reaches in; for a sweep the spindle is turned by hand, never by"
        " power. Rotating and closing parts are guarded again before anything runs.",
        "29 CFR 1910.147; 29 CFR 1910.212; ISO 12100",
    ),
    Caution(
        "level-lifting",
        "A machine on jacks can slip or tip until it is anchored: lift a little at a time, pack it as it rises, keep hands and"
        " feet from under it, and use lifting gear only as rated and as its maker says.",
        "ASME B30.1 (jacks)",
    ),
    Caution(
        "level-anchors",
        "Before drilling find out what the slab holds: reinforcement, tensioned cables, conduits, pipes. Concrete dust carries"
        " silica. Anchors and slab are judged by their makers, a structural engineer and local code, not here.",
        "29 CFR 1926.1153; 29 CFR 1910.1053",
    ),
    Caution(
        "level-release",
        "These moves are computed from what was read, and are no release: the makers' manuals, local code and licensed practice"
        " decide.",
        "",
    ),
)
"""What is said beside the answer, whatever it is."""


def caution_line(caution: Caution) -> str:
    """A caution with its source."""
    return f"{caution.text} ({caution.source})" if caution.source else caution.text
