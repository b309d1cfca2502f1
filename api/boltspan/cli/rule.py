"""``boltspan rule``: show the published rule's limits, and set them."""

from __future__ import annotations

import argparse

from boltspan.bootstrap import open_storage
from boltspan.config import Config
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.published_rule import published_rule, set_limit


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("rule", help="show and set the limits of the rule that settles values by itself")
    actions = group.add_subparsers(dest="action", required=True)
    actions.add_parser("show", help="show each limit, what it means, and what it may be").set_defaults(run=_show)
    change = actions.add_parser("set", help="set one limit; the change is an event")
    change.add_argument("name", help="the limit, as 'boltspan rule show' names it")
    change.add_argument("number", type=int)
    change.add_argument("--why", required=True, help="the reason; it is kept and shown")
    change.set_defaults(run=_set)


def _show(args: argparse.Namespace) -> int:
    del args
    with open_storage(Config.from_environment()).reading() as uow:
        told = published_rule(uow)
    for limit in told["limits"]:
        usual = "" if limit["number"] == limit["usual"] else f", usually {limit['usual']}"
        print(f"{limit['name']:<14} {limit['number']:>6}  {limit['text']} ({limit['least']} to {limit['most']}{usual})")
    return 0


def _set(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        limits = set_limit(COMMAND_LINE, uow, SystemClock(), args.name, args.number, args.why)
    print(f"{args.name} is {getattr(limits, args.name)}")
    return 0
