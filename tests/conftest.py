"""What all tests share: how many examples the property tests draw, and that a run can be repeated."""

from __future__ import annotations

from hypothesis import settings

# Every run draws the same examples, so that a red test is red for everybody; `prove` looks further.
settings.register_profile("default", derandomize=True, deadline=None, database=None)
settings.register_profile("prove", derandomize=False, deadline=None, database=None, max_examples=5000, print_blob=True)
settings.load_profile("default")
