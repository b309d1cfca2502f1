"""``boltspan release``: build, verify, list, withdraw."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from boltspan.bootstrap import open_storage, prepare
from boltspan.config import Config
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.publish import build_release, releases, verify_release, withdraw_release


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command group to the parser."""
    group = commands.add_parser("release", help="build, verify, list and withdraw releases of the dataset")
    actions = group.add_subparsers(dest="action", required=True)
    build = actions.add_parser("build", help="write a release of all that stands into the data folder")
    build.set_defaults(run=_build)
    verify = actions.add_parser("verify", help="name every file of a release that is missing, extra or changed")
    verify.add_argument("dir", metavar="DIR", type=Path, help="the release's folder")
    verify.set_defaults(run=_verify)
    listing = actions.add_parser("list", help="list the releases, newest first")
    listing.set_defaults(run=_list)
    withdraw = actions.add_parser("withdraw", help="mark a broken release as withdrawn; its files stay")
    withdraw.add_argument("version", metavar="VERSION")
    withdraw.add_argument("--why", required=True, help="the reason, shown to everybody")
    withdraw.set_defaults(run=_withdraw)


def _build(args: argparse.Namespace) -> int:
    del args
    config = Config.from_environment()
    storage = open_storage(config)
    prepare(config, storage)
    release = build_release(COMMAND_LINE, storage, config.data)
    print(f"release {release.version} at event {release.event}: {config.data / 'releases' / release.version}")
    return 0


def _verify(args: argparse.Namespace) -> int:
    problems = verify_release(args.dir)
    for problem in problems:
        print(problem)
    if problems:
        print(f"boltspan: {args.dir} is not as it was released: {len(problems)} problems", file=sys.stderr)
        return 1
    print(f"{args.dir}: in order")
    return 0


def _list(args: argparse.Namespace) -> int:
    del args
    with open_storage(Config.from_environment()).reading() as uow:
        found = releases(uow)["releases"]
    for release in found:
        mark = (
            f"  withdrawn {release['withdrawn']['on']}: {release['withdrawn']['why']}" if "withdrawn" in release else ""
        )
        demo = "  invented" if release["demo"] else ""
        print(f"{release['version']}  {release['built_on']}  event {release['event']}{demo}{mark}")
    if not found:
        print("no release yet; build one with: boltspan release build")
    return 0


def _withdraw(args: argparse.Namespace) -> int:
    with open_storage(Config.from_environment()).writing() as uow:
        withdrawn = withdraw_release(COMMAND_LINE, uow, SystemClock(), args.version, args.why)
    print(f"release {withdrawn.version} is marked as withdrawn; its files stay")
    return 0
