"""The desk's codes in plain words: why a case stands where it does, what happened, what a ruling does to shops."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.drawings.evidence_words import percent
from boltspan.domain.stakes import UNSAFE
from boltspan.services.attention import LEFT_P
from boltspan.web.words import ADVICE_NAMES, times

RECORD: Final = "record"
EVENT_NAMES: Final = {
    "claim_submitted": "A claim came in.",
    "claim_withdrawn": "A claim was taken back.",
    "claim_superseded": "A claim gave way to a newer one.",
    "decision_made": "Somebody ruled.",
    "flagged": "Somebody said that something is wrong.",
    "more_asked": "A contributor was asked for more.",
    "more_answered": "A contributor answered.",
    "review_opened": "A maintainer opened the case.",
    "frame_edited": "The frame’s record was changed.",
    "frame_listed": "The proposed frame was accepted.",
    "shock_proposed": "A shock was proposed.",
    "shock_listed": "The proposed shock was accepted.",
    "shock_restored": "The shock’s record answers again.",
    "frame_merged": "The frame’s record was merged into another.",
    "frame_divided": "The frame’s record was divided.",
    "frame_withdrawn": "The frame’s record was withdrawn.",
    "frame_restored": "The frame’s record answers again.",
    "frame_kept": "The frame’s record was looked at and left as it stands.",
    "shock_edited": "The shock’s record was changed.",
    "shock_merged": "The shock’s record was merged into another.",
    "shock_divided": "The shock’s record was divided.",
    "shock_withdrawn": "The shock’s record was withdrawn.",
    "shock_kept": "The shock’s record was looked at and left as it stands.",
    "account_undone": "All that one account did was undone.",
    "findings_changed": "The evidence was weighed anew.",
}
RULING_NAMES: Final = {
    "settle": "Settled",
    "leave_open": "Left open",
    "refuse_claims": "Claims ruled out",
    "withhold": "Put on hold",
    "reverse": "Decision undone",
}
STATE_NAMES: Final = {
    "submitted": "waits for review",
    "more_asked": "waits for the contributor’s answer",
    "in_review": "looked at, not ruled on",
    "conflicting": "waits, contradicts another statement",
    "accepted": "accepted",
    "refused": "ruled out",
    "superseded": "replaced by a newer claim",
    "withdrawn": "taken back",
}
EDIT_NAMES: Final = {
    "accept": "Accept the proposal",
    "keep": "Leave it as it stands: what was said to be wrong was looked at",
    "years": "Change its model years",
    "names": "Change its model’s names",
    "qualifier": "Change what tells it apart",
    "same_ends": "Say what its ends are called elsewhere",
    "divide": "Divide it: a part changed while it was made",
    "merge": "Merge it: the same one stands here twice",
    "withdraw": "Withdraw it: there was no such thing",
    "restore": "Restore it",
}
"""What may be done about a record, in the order of the page."""
_UNSURE: Final = {
    "settled": "settled",
    "provisional": "agreed on, not decided",
    "disputed": "disputed, nothing is answered",
    "unknown": "not known, nothing is answered",
    "withheld": "on hold",
}


def stakes(case: Mapping[str, Any]) -> list[tuple[str, int]]:
    """Return why a case stands where it does in the queue: reasons in words with their points, the heaviest first."""
    answer = case.get("published")
    if answer is None:
        unsure = "a proposal" if case["subject"] == RECORD and not case["listed"] else "a record"
    else:
        unsure = "settled, and a claim contradicts it" if answer.get("contested") else _UNSURE[answer["standing"]]
    told = {
        "unsure": unsure,
        "asked": f"asked for {times(case['asked'], 'time', 'times')} without an answer to sell by",
        "stock": "articles in shops depend on it",
        "flags": "somebody says that it is wrong"
        if case["stake"].get("flags", 0) < UNSAFE
        else "somebody says that one can come to harm by it",
        "waits_for_contributor": "a contributor’s answer is awaited",
    }
    found = [(told[name], points) for name, points in case["stake"].items()]
    if case["state"] == "open" and case["days"]:
        found.append((f"open for {times(case['days'], 'day', 'days')}", case["days"]))
    return sorted(found, key=lambda told_points: -told_points[1])


def event(happened: Mapping[str, Any]) -> str:
    """Return an event as a sentence or two."""
    said = EVENT_NAMES.get(happened["kind"], f"{happened['kind'].replace('_', ' ').capitalize()}.")
    if "ruling" in happened:
        said = f"{RULING_NAMES[happened['ruling']]}."
    return f"{said} Reason: {happened['why']}" if "why" in happened else said


def for_shops(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Return what changes for shops when an answer becomes another one, in sentences."""
    if _told(before) == _told(after):
        return [f"Shops are told the same as now: {_told(after)}."]
    found = [f"Shops are told now: {_told(before)}.", f"After it they are told: {_told(after)}."]
    if before["advice"] == "sell" and "value" in before and before.get("value") != after.get("value"):
        found.append(
            f"Whoever has sold {before['value']['label']} by the old answer learns of it from the list of changes only."
        )
    if after["advice"] == "sell" and after.get("supply") == "frame_maker":
        found.append("They refer their customers to the frame’s maker.")
    if after["advice"] == "do_not_sell" and before["advice"] != "do_not_sell":
        found.append("Storefronts stop offering a part for this end.")
    return found


def _told(answer: Mapping[str, Any]) -> str:
    advice = ADVICE_NAMES[answer["advice"]].lower()
    return f"{answer['value']['label']}, {advice}" if "value" in answer else f"no size, {advice}"


def doubt(answer: Mapping[str, Any]) -> str | None:
    """Return a warning before a value is settled that the evidence holds for unlikely; None when there is no reason."""
    if answer["standing"] != "settled" or answer.get("confidence", 1) >= LEFT_P:
        return None
    return (
        f"The evidence gives {answer['value']['label']} {likely(answer['confidence'])}: something else is likelier. A "
        "wrong part can break an eyelet or a frame; settle it only on what you know for sure."
    )


def likely(p: Decimal) -> str:
    """Return a probability in words and percent."""
    return f"a probability of {percent(float(p))}"


def sentence(words: str) -> str:
    """Return words as a sentence: with a capital letter and a full stop."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def claim_numbers(shown: Sequence[str]) -> dict[str, int]:
    """Return the number under which each claim stands in the picture."""
    return {claim: number for number, claim in enumerate(shown, 1)}
