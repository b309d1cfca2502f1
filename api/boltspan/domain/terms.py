"""The terms on which contributors send facts and photos. A change of meaning takes a new version."""

from __future__ import annotations

from typing import Final

VERSION: Final = "1"
TERMS: Final = {
    "own_sources": "What I send is my own measurement or fitting, or stands on the maker's own page, drawing, "
    "manual or reply. I do not copy it from another database or somebody else's list.",
    "facts_cc0": "The facts I send become public under CC0 1.0: anybody may use them for anything, also after I leave.",
    "photos_cc_by": "A photo is sent only when I took it. It becomes public under CC BY 4.0 once its claim is "
    "accepted; position and all other hidden data are taken out of it first.",
    "name_shown": "My random id, and my handle if I choose one, stand beside what I send. When I leave, the name goes "
    "and the facts stay.",
    "honest": "I send what I saw or read, and say so when I find that it was wrong.",
}
"""Each point by its code, in the order in which they are shown."""
