"""Who may do what: verbs named like the services, granted by role, narrowed by a token's scopes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from boltspan.domain.errors import NotAllowed, NotAuthenticated

PUBLIC: Final = "public"
"""The permission of routes that need no token."""

_OWN: Final = frozenset({"see_own", "manage_own_tokens", "leave"})
"""What everybody with an account may do about it."""
_CONTRIBUTOR: Final = _OWN | {"submit_claim", "withdraw_claim", "propose_frame", "propose_shock", "add_photo",
                        "answer_question"}  # fmt: skip
_MAINTAINER: Final = _CONTRIBUTOR | {
    "see_reviews", "open_review", "settle_review", "edit_frame", "build_release", "withdraw_release", "import_chart",
    "ask_for_more", "undo_account", "verify_events",
}  # fmt: skip
ROLES: Final = {
    "contributor": _CONTRIBUTOR,
    "retailer": _OWN,
    "maintainer": _MAINTAINER,
    "operator": _MAINTAINER
    | {
        "see_metrics",
        "import_dataset",
        "set_rule",
        "learn_evidence",
        "see_accounts",
        "block_account",
        "replace_token",
    },
}
PERMISSIONS: Final = frozenset().union(*ROLES.values()) | {PUBLIC}


@dataclass(frozen=True, slots=True)
class Actor:
    """Who is acting: nobody in particular (person None), or a person with the verbs their token grants."""

    person: str | None = None
    may: frozenset[str] = frozenset()

    def must(self, permission: str) -> str:
        """Return the person's id when they hold ``permission``; raise NotAuthenticated or NotAllowed otherwise."""
        if self.person is None:
            raise NotAuthenticated("this needs a token")
        if permission not in self.may:
            raise NotAllowed(f"this token may not {permission.replace('_', ' ')}")
        return self.person

    def permitted(self, permission: str) -> str | None:
        """Return the person acting, None at the command line. Raises NotAuthenticated or NotAllowed as ``must``."""
        return self.person if permission in self.may else self.must(permission)


ANYBODY: Final = Actor()
"""The actor of a request without a token."""
COMMAND_LINE: Final = Actor(None, PERMISSIONS)
"""Somebody at the machine itself; acts without being a contributor."""
