"""Handles: the public names that people may choose, beside the random id that everybody has."""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise
from typing import Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.names import name

LEAST: Final = 2
MOST: Final = 30
_BETWEEN: Final = frozenset(" -_.")
_LIKE_AN_ID: Final = re.compile(r"[a-z]-[0-9a-z]{10}")
_TWINS: Final = str.maketrans("1i|05$", "lllos" + "s")
RESERVED: Final = frozenset({
    "rule", "rules", "therule", "publishedrule", "boltspan", "maintainer", "maintainers", "operator", "operators",
    "contributor", "contributors", "retailer", "retailers", "admin", "administrator", "system", "nobody", "anybody",
})  # fmt: skip
"""Names of roles, of the service and of the published rule: nobody may seem to speak for them."""


def handle(value: object, pointer: str) -> str:
    """Return ``value`` as a sound handle: Unicode NFC, trimmed, 2 to 30 letters, digits and single marks between them.

    Raises InvalidInput naming ``pointer`` for whatever is no sound name (see ``names.name``: hidden characters, mixed
    scripts, plain twins), other characters, the shape of an id, and a name that seems to be the rule's, the service's
    or a role's (also as "ru1e" or "r.u.l.e").
    """
    text = name(value, pointer)
    accepted = f"{LEAST} to {MOST} letters and digits, with blank, hyphen, underscore or point between them"
    inner = all(ch in _BETWEEN or _is_letter(ch) for ch in text)
    doubled = any(a in _BETWEEN and b in _BETWEEN for a, b in pairwise(text))
    if not LEAST <= len(text) <= MOST or not inner or doubled or text[0] in _BETWEEN or text[-1] in _BETWEEN:
        raise InvalidInput.one(pointer, "bad_handle", "this is no handle", got=text, accepted=accepted)
    if _LIKE_AN_ID.fullmatch(text.casefold()):
        raise InvalidInput.one(pointer, "handle_like_an_id", "a handle must not look like an id", got=text,
                               accepted=accepted)  # fmt: skip
    if _skeleton(text) in _RESERVED_SKELETONS:
        raise InvalidInput.one(pointer, "handle_reserved", "nobody may seem to speak for the rule, the service or a "
                               "role", got=text, accepted="another handle")  # fmt: skip
    return text


def handle_key(text: str) -> str:
    """Return what is compared when a handle must be unique: compatibility form and case folded."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())


def _is_letter(ch: str) -> bool:
    return unicodedata.category(ch) in ("Lu", "Ll", "Lt", "Lm", "Lo", "Mn", "Mc", "Nd")


def _skeleton(text: str) -> str:
    """Return letters alone, accents and figures at the end dropped, figures that pass for letters taken as such."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(ch for ch in bare if ch.isalnum() and not unicodedata.combining(ch))
    return (letters.rstrip("0123456789") or letters).translate(_TWINS)


_RESERVED_SKELETONS: Final = frozenset(_skeleton(word) for word in RESERVED)
