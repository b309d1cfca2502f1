"""The words of a claim that the model tells apart, in the order its tables use."""

from typing import Final

HARDWARE: Final = "hardware"
# Alphabetical, for candidates of equal probability are listed by mount; `hardware` stands between the first two.
BARE_MOUNTS: Final = ("bearing", "open_eyelet", "proprietary", "trunnion")
MOUNTS: Final = (HARDWARE, *BARE_MOUNTS)

DOCUMENTS: Final = ("spec_page", "exploded_diagram", "manual", "maker_reply", "retailer_chart")
FITTED: Final = "fitted"
CALIPER: Final = "caliper"
RULER: Final = "ruler"
TOOLS: Final = (CALIPER, RULER)
SOURCES: Final = (*DOCUMENTS, FITTED, *TOOLS)

BOLT_FEATURES: Final = ("thread_crest", "shank", "sleeve_bore")
WIDTH_CONDITIONS: Final = ("sound", "worn", "gap")
WIDTH_FEATURES: Final = ("hardware_width", "tab_gap")
