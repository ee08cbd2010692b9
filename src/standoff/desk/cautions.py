"""The caution that stands on every page."""

from __future__ import annotations

from standoff.job.caution import LOCKOUT

__all__ = ["LOCKOUT"]
