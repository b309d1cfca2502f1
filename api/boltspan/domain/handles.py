"""Handles: the public names that people may choose, beside the random id that everybody has."""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise
from typing import Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.look_alikes import plain_letters, skeleton
from boltspan.domain.names import name

LEAST: Final = 2
MOST: Final = 30
_BETWEEN: Final = frozenset(" -_.")
_LIKE_AN_ID: Final = re.compile(r"[a-z]-[0-9a-z]{10}")
_TWINS: Final = str.maketrans("1i|05$", "lllos" + "s")
RESERVED: Final = frozenset({
    "rule", "rules", "therule", "publishedrule", "boltspan", "maintainer", "maintainers", "operator", "operators",
    "contributor", "contributors", "retailer", "retailers", "admin", "administrator", "system", "nobody", "anybody",
    "themaintainer", "themaintainers", "theoperator", "moderator", "moderators", "staff", "official", "support",
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
    if _reserved_form(text) in _RESERVED_FORMS:
        raise InvalidInput.one(pointer, "handle_reserved", "nobody may seem to speak for the rule, the service or a "
                               "role", got=text, accepted="another handle")  # fmt: skip
    return text


def handle_key(text: str) -> str:
    """Return what is compared when a handle must be unique: compatibility form and case folded."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())


def _is_letter(ch: str) -> bool:
    return unicodedata.category(ch) in ("Lu", "Ll", "Lt", "Lm", "Lo", "Mn", "Mc", "Nd")


def handle_skeleton(text: str) -> str:
    """Return what two handles share when people can take one for the other; the mark between words makes no odds."""
    return skeleton("".join("-" if ch in _BETWEEN else ch for ch in text))


def _reserved_form(text: str) -> str:
    """Return letters alone, accents and figures at the end dropped, whatever passes for a Latin letter taken as it."""
    named = text.rstrip("0123456789 -_.") or text
    bare = unicodedata.normalize("NFKD", plain_letters(named).casefold())
    return "".join(ch for ch in bare if ch.isalnum() and not unicodedata.combining(ch)).translate(_TWINS)


_RESERVED_FORMS: Final = frozenset(_reserved_form(word) for word in RESERVED)
