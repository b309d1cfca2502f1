"""What maintainers and the published rule decided about an invented frame: mostly right, now and then too soon."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.domain.review import Decision
from boltspan.domain.values import Value
from tests.worlds.chances import Chances
from tests.worlds.ids import numbered_id, statement_id
from tests.worlds.telling import Circumstances

SETTLED: Final = 0.35
"""Of subjects with two claims or more, and one of them without a mark."""
WRONGLY: Final = 0.003
"""Of those settled, the ones settled to what one marked claim says."""
WITHHELD: Final = 0.004
LEFT_OPEN: Final = 0.01
REFUSED: Final = 0.05
"""Of subjects with a marked claim that is wrong in itself."""
REVERSED: Final = 0.01
"""Of rulings."""
MAINTAINERS: Final = 7
_FIRST_MAINTAINER: Final = 10**9
_REFUSABLE: Final = frozenset({"wrong_end", "wrong_year", "wrong_model", "careless", "digit_slip", "bushing_bore"})


def decisions_about(about: Circumstances, said: Sequence[tuple[Claim, list[str]]]) -> Iterator[Decision]:
    """Yield the decisions on every subject of the frame, oldest first, from what was said about it."""
    chances = Chances(about.seed, "decisions", about.number)
    count = 0
    for place, subject in enumerate(about.frame.subjects):
        own = [(c, marks) for c, marks in said if c.subject == subject and c.counts]
        for ruling in _rulings(chances, own, about.fit.of(place)):
            count += 1
            decision_id = statement_id("decision", about.seed, about.number, count)
            yield replace(ruling, id=decision_id, frame=about.frame.id, subject=subject)
            if chances.happens(REVERSED):
                count += 1
                reverse = Decision(
                    "", "", "", ruling.on, _maintainer(chances, about.seed), "reverse", "decided too soon"
                )
                yield replace(
                    reverse,
                    id=statement_id("decision", about.seed, about.number, count),
                    frame=about.frame.id,
                    subject=subject,
                    reverses=decision_id,
                )


def _rulings(chances: Chances, own: Sequence[tuple[Claim, list[str]]], true: Value) -> Iterator[Decision]:
    """Yield rulings without id, frame and subject."""
    sound = [c.id for c, marks in own if not marks]
    wrong = [c for c, marks in own if _REFUSABLE & set(marks)]
    if wrong and chances.happens(REFUSED):
        yield _ruling(chances, "refuse_claims", "another source shows that this cannot be", refuses=(wrong[0].id,))
        wrong = wrong[1:]
    if chances.happens(WITHHELD):
        yield _ruling(chances, "withhold", "two riders report that the part did not go in")
    elif len(own) > 1 and sound and chances.happens(SETTLED):
        stated = [c for c in wrong if c.value is not None]
        if stated and chances.happens(WRONGLY):
            misled = stated[0]
            assert misled.value is not None
            yield _ruling(chances, "settle", "the clearest source", value=misled.value, rests_on=(misled.id,))
            return
        by_rule = len(sound) > 1 and not wrong and chances.happens(0.5)
        over = tuple(c.id for c in wrong) if chances.happens(0.8) else ()
        settled = _ruling(chances, "settle", "sources agree", value=true, rests_on=tuple(sound), overrules=over)
        yield replace(settled, by=RULE_AUTHOR) if by_rule else settled
    elif wrong and chances.happens(LEFT_OPEN):
        yield _ruling(chances, "leave_open", "a photo of the old hardware is asked for")


def _ruling(chances: Chances, ruling: str, why: str, **fields: object) -> Decision:
    on = f"2026-07-{chances.among(1, 28):02}"
    return replace(Decision("", "", "", on, _maintainer(chances, 0), ruling, why), **fields)  # type: ignore[arg-type]


def _maintainer(chances: Chances, seed: int) -> str:
    return numbered_id("person", seed, _FIRST_MAINTAINER + chances.below(MAINTAINERS))
