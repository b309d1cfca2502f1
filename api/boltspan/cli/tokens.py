"""``boltspan tokens``: issue, list and revoke."""

from __future__ import annotations

import argparse

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.services.accounts import DAYS, issue_token, revoke_token
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import ROLES


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("tokens", help="issue, list and revoke tokens")
    actions = group.add_subparsers(dest="action", required=True)
    issue = actions.add_parser("issue", help="make a token and print it, once")
    issue.add_argument("--role", choices=sorted(ROLES), required=True)
    issue.add_argument("--handle", help="a public name for a new person; absent: only the random id is public")
    issue.add_argument("--person", help="the id of a known person (p-...); absent: a new person")
    issue.add_argument("--scope", action="append", help="narrow the token to this permission; may be repeated")
    issue.add_argument("--days", type=int, default=DAYS, help=f"days until it ends (default {DAYS})")
    issue.set_defaults(run=_issue)
    revoke = actions.add_parser("revoke", help="revoke a token by its id, the eight characters after bs_")
    revoke.add_argument("token_id")
    revoke.set_defaults(run=_revoke)
    listing = actions.add_parser("list", help="list people and their tokens, without secrets")
    listing.set_defaults(run=_list)


def _issue(args: argparse.Namespace) -> int:
    config = Config.from_environment()
    storage = open_storage(config)
    prepare(config, storage)
    with storage.writing() as uow:
        token = issue_token(
            uow,
            SystemClock(),
            role=args.role,
            handle=args.handle,
            person=args.person,
            scopes=args.scope,
            days=args.days,
        )
    print(token.text)
    return 0


def _revoke(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        token = revoke_token(uow, SystemClock(), args.token_id)
    print(f"{token.id} revoked")
    return 0


def _list(args: argparse.Namespace) -> int:
    del args
    with open_storage(Config.from_environment()).reading() as uow:
        for account in uow.accounts.accounts():
            print(account.id, account.role, account.handle or "-", "blocked" if account.blocked else "active")
            for token in uow.accounts.tokens_of(account.id):
                state = (
                    f"revoked {token.revoked_at[:10]}" if token.revoked_at else f"until {(token.expires_at or '')[:10]}"
                )
                print(f"  {token.id}  {state}  last used {token.last_used_on or 'never'}  {' '.join(token.scopes)}")
    return 0
