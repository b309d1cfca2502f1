"""Names of makes and models as people write them, and the slugs derived from them."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from boltspan.domain.errors import InvalidInput

MOST_CHARACTERS: Final = 80
SLUG: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
MOST_SLUG: Final = 60
_EAST_ASIAN: Final = frozenset({"CJK", "HIRAGANA", "KATAKANA", "BOPOMOFO", "HANGUL", "KATAKANA-HIRAGANA"})
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def name(value: object, pointer: str) -> str:
    """Return ``value`` as a sound name: Unicode NFC, trimmed, 1 to 80 characters.

    Raises InvalidInput naming ``pointer`` for control or format characters (zero-width and direction marks
    included), characters that have a plain twin (full width, superscripts), letters of two scripts in one name, and a
    first character that a spreadsheet takes for a formula.
    """
    if not isinstance(value, str):
        raise InvalidInput.one(pointer, "not_text", "a name is text", got=value, accepted="text")
    text = " ".join(unicodedata.normalize("NFC", value).split(" ")).strip()
    text = re.sub(" +", " ", text)
    if not 1 <= len(text) <= MOST_CHARACTERS or not any(ch.isalnum() for ch in text):
        raise InvalidInput.one(
            pointer,
            "bad_length",
            "a name is empty or too long",
            got=text,
            accepted=f"1 to {MOST_CHARACTERS} characters with a letter or digit",
        )
    for ch in text:
        if unicodedata.category(ch)[0] == "C" or (ch.isspace() and ch != " "):
            raise InvalidInput.one(
                pointer,
                "hidden_character",
                f"a name holds U+{ord(ch):04X}, which cannot be seen",
                got=text.encode("unicode_escape").decode(),
                accepted="visible characters",
            )
    if unicodedata.normalize("NFKC", text) != text:
        raise InvalidInput.one(
            pointer,
            "lookalike_character",
            "a name holds a character that has a plain twin",
            got=text,
            accepted=unicodedata.normalize("NFKC", text)[:MOST_CHARACTERS],
        )
    if len(scripts(text)) > 1:
        raise InvalidInput.one(
            pointer,
            "mixed_scripts",
            "a name mixes letters of two scripts",
            got=text,
            accepted=f"letters of one script; got {', '.join(sorted(scripts(text)))}",
        )
    if text.startswith(_FORMULA):
        raise InvalidInput.one(
            pointer,
            "formula_character",
            "a spreadsheet takes this name for a formula",
            got=text,
            accepted="a name that does not start with = + - or @",
        )
    return text


def scripts(text: str) -> set[str]:
    """Return the scripts of the letters in ``text``, by the first word of their Unicode names; East Asia is one."""
    words = {unicodedata.name(ch, "UNNAMED").split()[0] for ch in text if ch.isalpha()}
    return {"EAST ASIAN" if w in _EAST_ASIAN else w for w in words}


def slug_of(text: str) -> str:
    """Return the slug of a name: accents dropped, lower case, hyphens between words; "" when nothing Latin is left."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    ascii_only = "".join(ch if ch.isascii() else " " for ch in bare if not unicodedata.combining(ch))
    return "-".join(re.findall(r"[a-z0-9]+", ascii_only))[:MOST_SLUG].strip("-")


def is_slug(text: str) -> bool:
    """Return whether ``text`` is a slug."""
    return len(text) <= MOST_SLUG and SLUG.fullmatch(text) is not None


def check_slug(value: object, pointer: str) -> str:
    """Return ``value`` when it is a slug; raise InvalidInput naming ``pointer`` otherwise."""
    if isinstance(value, str) and is_slug(value):
        return value
    raise InvalidInput.one(
        pointer, "bad_slug", "this is no slug", got=value, accepted=f"a-z, 0-9 and single hyphens, at most {MOST_SLUG}"
    )


def folded(text: str) -> str:
    """Return the text as the search compares it: no accents, lower case, one blank between words and digits."""
    return slug_of(text).replace("-", " ") or unicodedata.normalize("NFKC", text).casefold().strip()
