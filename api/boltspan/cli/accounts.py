"""``boltspan accounts``: show people, block them and let them in again, replace a lost token."""

from __future__ import annotations

import argparse

from boltspan.bootstrap import open_storage
from boltspan.config import Config
from boltspan.services.clock import SystemClock
from boltspan.services.keeping_accounts import account, block_account, replace_token
from boltspan.services.permissions import COMMAND_LINE


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("accounts", help="show, block and unblock people, replace a lost token")
    actions = group.add_subparsers(dest="action", required=True)
    for name, run, text in (
        ("show", _show, "show an account and its tokens, without secrets"),
        ("block", _block, "block an account: its tokens and sessions are good for nothing from now on"),
        ("unblock", _block, "let a blocked account in again"),
        ("replace-token", _replace, "end every token and session of a person and print a new token, once"),
    ):
        action = actions.add_parser(name, help=text)
        action.add_argument("who", help="the person's id (p-...) or handle")
        if name != "show":
            action.add_argument("--why", required=True, help="the reason; it is kept")
        action.set_defaults(run=run)


def _show(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).reading() as uow:
        found = account(COMMAND_LINE, uow, SystemClock(), args.who)
    tokens = found.pop("tokens")
    print("  ".join(f"{name} {value}" for name, value in found.items()))
    for token in tokens:
        print(f"  {token['id']}  {token['state']}  last used {token.get('last_used_on', 'never')}")
    return 0


def _block(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        found = block_account(COMMAND_LINE, uow, SystemClock(), args.who, args.why, blocked=args.action == "block")
    print(f"{found['id']} {'blocked' if found.get('blocked') else 'not blocked'}")
    return 0


def _replace(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        _, token = replace_token(COMMAND_LINE, uow, SystemClock(), args.who, args.why, None)
    assert token is not None, "without a key nothing is answered again"
    print(token.text)
    return 0
