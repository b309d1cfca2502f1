"""Names that look alike: the skeleton of a text, which two texts share when one can be taken for the other.

After Unicode Technical Standard #39, "Unicode Security Mechanisms", section 4 (confusable detection): decompose, put
each letter's look-alike in its place, compare. LIKE holds the single letters of confusables.txt (Unicode 15) that can
be taken for an ASCII letter, of the scripts in which a whole name can: Latin beyond ASCII, Greek, Cyrillic, Armenian,
Coptic and Cherokee. Full width and mathematical letters need none: names in them are refused before.
"""

from __future__ import annotations

import unicodedata
from typing import Final

LIKE: Final = {
    "A": "\u0391\u0410\u13aa",
    "B": "\u0392\u0412\u13f4\ua7b4",
    "C": "\u0421\u13df\u2ca4",
    "D": "\u13a0",
    "E": "\u0395\u0415\u13ac",
    "F": "\u03dc\ua798",
    "G": "\u050c\u13c0\u13f3",
    "H": "\u0397\u041d\u13bb\u2c8e",
    "J": "\u037f\u0408\u13ab\ua7b2",
    "K": "\u039a\u041a\u13e6\u2c94",
    "L": "\u13de\u2cd0",
    "M": "\u039c\u03fa\u041c\u13b7\u2c98",
    "N": "\u039d\u2c9a",
    "O": "\u039f\u041e\u0555\u2c9e",
    "P": "\u03a1\u0420\u13e2\u2ca2",
    "R": "\u01a6\u13a1\u13d2",
    "S": "\u0405\u054f\u13d5\u13da",
    "T": "\u03a4\u0422\u13a2\u2ca6",
    "U": "\u054d",
    "V": "\u0474\u13d9",
    "W": "\u051c\u13b3\u13d4",
    "X": "\u03a7\u0425\u2cac\ua7b3",
    "Y": "\u03a5\u0423\u04ae\u13a9\u13bd\u2ca8",
    "Z": "\u0396\u13c3",
    "a": "\u0251\u03b1\u0430",
    "b": "\u0184\u042c\u13cf",
    "c": "\u0441\u1d04\u2ca5\uabaf",
    "d": "\u0501\u13e7",
    "e": "\u0435\u04bd\uab32",
    "f": "\u0584\u1e9d\ua799\uab35",
    "g": "\u018d\u0261\u0581\u1d83",
    "h": "\u04bb\u0570\u13c2",
    "i": "\u0131\u0269\u026a\u03b9\u0456\u04cf\u13a5\ua647\uab75",
    "j": "\u03f3\u0458",
    "l": "\u0196\u01c0\u0399\u0406\u04c0\u2c92",
    "n": "\u0578\u057c",
    "o": "\u03bf\u03c3\u043e\u0585\u1d0f\u1d11\u2c9f\uab3d",
    "p": "\u03c1\u0440\u2ca3",
    "q": "\u051b\u0563\u0566",
    "r": "\u0433\u1d26\u2c85\uab47\uab48\uab81",
    "s": "\u01bd\u0455\ua731\uabaa",
    "u": "\u028b\u03c5\u057d\u1d1c\ua79f\uab4e\uab52",
    "v": "\u03bd\u0475\u1d20\uaba9",
    "w": "\u026f\u0461\u051d\u0561\u1d21\uab83",
    "x": "\u0445",
    "y": "\u0263\u028f\u03b3\u0443\u04af\u1d8c\u1eff\uab5a",
    "z": "\u1d22\uab93",
}
"""ASCII letters, and what looks like each."""
_FIGURES: Final = {"I": "l", "1": "l", "|": "l", "0": "O"}
_PLAIN: Final = str.maketrans({ch: plain for plain, alike in LIKE.items() for ch in alike} | _FIGURES)


def plain_letters(text: str) -> str:
    """Return the text decomposed, with ASCII letters in place of what looks like them; case is kept."""
    return unicodedata.normalize("NFD", unicodedata.normalize("NFD", text).translate(_PLAIN))


def skeleton(text: str) -> str:
    """Return what two texts share when one can be taken for the other, upper and lower case included.

    The look-alikes are those of each letter as it is written: a capital of one script may look like a letter whose
    small form does not. Nothing: "".
    """
    return plain_letters(text).casefold().replace("m", "rn")
