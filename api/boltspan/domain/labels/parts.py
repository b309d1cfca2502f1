"""Which words of a label belong to which end of the shock."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from boltspan.domain.labels.reading import LabelPart
from boltspan.domain.labels.refusals import LabelRefusalError
from boltspan.domain.labels.sizes import read_part
from boltspan.domain.labels.tokens import Scan
from boltspan.domain.labels.words import (
    BY,
    END,
    FLAG,
    MOUNT,
    NONE,
    NUMBER,
    OPEN,
    OTHER,
    ROLE,
    SEPARATOR,
    SPLIT,
    Token,
    Word,
)

_CONTENT: Final = frozenset({NUMBER, MOUNT, NONE})
_SLASH_INSIDE: Final = Word(SEPARATOR, "/")
_OPEN_EYELET: Final = Word(MOUNT, "open_eyelet")
_ENDS_OF_A_SHOCK: Final = 2
_NEAR: Final = 3
"""A name this many unknown words, or fewer, after a size is the size's; farther off, a sentence says something else."""


def label_parts(scan: Scan) -> tuple[LabelPart, ...]:
    """Return the parts of the label in written order; warnings go into ``scan.warnings``.

    Without names, two full sizes or mounts set apart by ``/ ; | &`` or a newline are unnamed_1 and unnamed_2. With
    names, all stand before their sizes or all after. Raises LabelRefusalError where that does not come out even.
    """
    if scan.named:
        return tuple([read_part(end, group, scan) for end, group in _named(_with_open_as_mount(scan.tokens))])
    if any(token.kind == OPEN for token in scan.tokens):
        scan.doubt = scan.doubt or "width_or_bore_unclear"
    if not scan.split:
        return (read_part("unnamed", scan.tokens, scan),)
    groups = _groups(scan.tokens)
    if not groups:
        raise LabelRefusalError("no_number")
    if len(groups) == 1:
        return (read_part("unnamed", groups[0], scan),)
    if len(groups) > _ENDS_OF_A_SHOCK:
        raise LabelRefusalError("third_number_unclear")
    scan.warnings.add("ends_not_named")
    return tuple([read_part(f"unnamed_{place}", group, scan) for place, group in enumerate(groups, 1)])


def _with_open_as_mount(tokens: Sequence[Token]) -> list[Token]:
    return [_OPEN_EYELET if token.kind == OPEN else token for token in tokens]


def _is_content(token: Token) -> bool:
    return token.kind in _CONTENT


def _lacks_number(tokens: Sequence[Token]) -> bool:
    """Whether words without a size hold one that needs a number: an x, or a mark of bolt or width."""
    return any(token is BY or token.kind == ROLE for token in tokens)


def _named(tokens: list[Token]) -> list[tuple[str, list[Token]]]:
    """Return each end with the tokens of its size or mount."""
    places = [place for place, token in enumerate(tokens) if token.kind == END]
    names = [token.value for token in tokens if isinstance(token, Word) and token.kind == END]
    if len(set(names)) < len(names) or len(names) > _ENDS_OF_A_SHOCK or ("both" in names and len(names) > 1):
        raise LabelRefusalError("end_named_twice")
    before = not any(map(_is_content, tokens[: places[0]]))
    if before:
        bounds = zip(places, [*places[1:], len(tokens)], strict=True)
        pieces = [_after_its_name(tokens[start + 1 : stop]) for start, stop in bounds]
        rest = tokens[: places[0]]
    else:
        bounds = zip([-1, *places[:-1]], places, strict=True)
        # Read from its name outwards, a size before the name is a size after it.
        pieces = [_after_its_name(tokens[start + 1 : stop][::-1])[::-1] for start, stop in bounds]
        if any(map(_far_from_its_size, pieces)):
            raise LabelRefusalError("no_number")
        rest = tokens[places[-1] + 1 :]
    groups = [_only_group(piece) for piece in pieces]
    if any(map(_is_content, rest)):
        raise LabelRefusalError("third_number_unclear")
    if _lacks_number(rest):
        raise LabelRefusalError("no_number")
    _add_flags(groups, rest)
    return list(zip(names, groups, strict=True))


def _far_from_its_size(tokens: list[Token]) -> bool:
    """Whether many words that say nothing of a size stand after it, before the name that ends ``tokens``."""
    last = max(place for place, token in enumerate(tokens) if _is_content(token))
    return sum(token.kind == OTHER for token in tokens[last:]) > _NEAR


def _after_its_name(tokens: list[Token]) -> list[Token]:
    """Return what follows a name, up to the last word that is no separator of the next end."""
    content = next((place for place, token in enumerate(tokens) if _is_content(token)), None)
    if content is None or any(token.kind == SPLIT for token in tokens[:content]):
        raise LabelRefusalError("no_number")
    stop = len(tokens)
    while tokens[stop - 1].kind == SPLIT or (tokens[stop - 1].kind == SEPARATOR and tokens[stop - 1] is not BY):
        stop -= 1
    return tokens[:stop]


def _only_group(tokens: list[Token]) -> list[Token]:
    groups = _groups(tokens)
    if len(groups) > 1:
        raise LabelRefusalError("third_number_unclear")
    return groups[0]


def _groups(tokens: Sequence[Token]) -> list[list[Token]]:
    """Return the tokens in groups, each the size or mount of one end.

    A slash parts two full sizes or mounts; beside a single number it stands inside one size, as in ``8/30``. Words
    alone make no group.
    """
    groups: list[list[Token]] = []
    rest: list[Token] = []
    single = False  # the group before is numbers of which one stands alone
    open_slash = False
    for sign, piece, next_sign in _pieces(tokens):
        if not any(map(_is_content, piece)):
            if _lacks_number(piece) or (not piece and (sign in ("/", "&") or next_sign in ("/", "&"))):
                raise LabelRefusalError("no_number")
            rest += piece
            open_slash = False
            continue
        numbers = sum(token.kind == NUMBER for token in piece)
        if sign == "/" and open_slash and numbers and (single or numbers == 1):
            groups[-1] += [_SLASH_INSIDE, *piece]
            single = True
        else:
            groups.append(piece)
            single = numbers == 1
        open_slash = numbers > 0
    _add_flags(groups, rest)
    return groups


def _pieces(tokens: Sequence[Token]) -> list[tuple[str, list[Token], str]]:
    """Return the tokens between splits, each with the sign before and the sign after it ("" at the outside)."""
    pieces: list[list[Token]] = [[]]
    signs: list[str] = [""]
    for token in tokens:
        if isinstance(token, Word) and token.kind == SPLIT:
            pieces.append([])
            signs.append(token.value)
        else:
            pieces[-1].append(token)
    return list(zip(signs, pieces, [*signs[1:], ""], strict=True))


def _add_flags(groups: list[list[Token]], rest: Sequence[Token]) -> None:
    """Give a flag that stands apart to the only size there is."""
    flags = [token for token in rest if token.kind == FLAG]
    if flags and len(groups) > 1:
        raise LabelRefusalError("no_number")
    if flags and groups:
        groups[0] += flags
