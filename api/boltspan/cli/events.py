"""``boltspan events``: check the history."""

from __future__ import annotations

import argparse
import sys

from boltspan.bootstrap import open_storage
from boltspan.config import Config
from boltspan.services.clock import SystemClock
from boltspan.services.history import verify_events
from boltspan.services.keeping_accounts import signing_person
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.undoing import undo_account


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("events", help="check the history of all changes; undo all of one account")
    actions = group.add_subparsers(dest="action", required=True)
    verify = actions.add_parser(
        "verify", help="say whether every event is as it was recorded, and name the first that is not"
    )
    verify.add_argument(
        "--head", action="append", default=[], metavar="EVENT:HASH",
        help="a number and hash that a release states (event and event_hash of its release.json); may be repeated",
    )  # fmt: skip
    verify.set_defaults(run=_verify)
    undo = actions.add_parser("undo-account", help="undo everything of one account by new events; nothing is lost")
    undo.add_argument("person", help="the person's id (p-...)")
    undo.add_argument(
        "--as", dest="signed", metavar="PERSON", required=True,
        help="who undoes it: the id or handle of a maintainer or operator, which stands in the events",
    )  # fmt: skip
    undo.add_argument("--why", required=True, help="the reason; it is kept and shown")
    undo.set_defaults(run=_undo)


def _verify(args: argparse.Namespace) -> int:
    heads = []
    for text in args.head:
        number, _, written = text.partition(":")
        if not (number.isascii() and number.isdigit() and len(written) == 64):
            print(f"boltspan: --head {text!r}; accepted: EVENT:HASH as release.json has them", file=sys.stderr)
            return 2
        heads.append((int(number), written))
    with open_storage(Config.from_environment()).reading() as uow:
        report = verify_events(COMMAND_LINE, uow, tuple(heads))
    if report.wrong is not None:
        print(f"boltspan: {report.wrong}; {report.read} events before it are in order", file=sys.stderr)
        return 1
    print(f"{report.read} events in order, the last is {report.event} {report.hash}")
    return 0


def _undo(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        found = undo_account(signing_person(uow, args.signed), uow, SystemClock(), args.person, args.why)
    print(
        f"{found['claims']} claims refused, {found['decisions']} decisions reversed, {found['records']} records put "
        f"back, {found['flags']} flags closed"
    )
    for left in found["left"]:
        print(f"left as it is: {left['what']}: {left['why']}")
    return 0
