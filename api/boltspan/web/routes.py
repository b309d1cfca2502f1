"""One page: where it stands, what makes it, and who may see it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from flask import Blueprint, Response

from boltspan.services.permissions import PUBLIC


@dataclass(frozen=True, slots=True)
class Route:
    """A page. ``permission`` is what its view asks for; pages that are not public are never given to other sites."""

    rule: str
    view: Callable[..., Response]
    permission: str = PUBLIC
    methods: Sequence[str] = ("GET",)


def register(blueprint: Blueprint, routes: Iterable[Route]) -> None:
    """Put the routes into the blueprint."""
    for route in routes:
        blueprint.add_url_rule(route.rule, view_func=_declared(route), methods=list(route.methods))


def _declared(route: Route) -> Callable[..., Response]:
    @functools.wraps(route.view)
    def view(**path: str) -> Response:
        return route.view(**path)

    view.permission = route.permission  # type: ignore[attr-defined]
    return view
