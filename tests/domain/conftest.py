"""Property tests draw the same examples in every run; how long one takes is no matter of these tests."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, max_examples=200)
settings.load_profile("fixed")
