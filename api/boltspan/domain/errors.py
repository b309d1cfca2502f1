"""What can go wrong in the job's own terms. One table (``http/errors.py``) maps these to HTTP."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One wrong field: where it stands, what is wrong, what was got and what is accepted.

    ``pointer`` is a JSON Pointer (RFC 6901) into the body or the record, such as ``/source/url``.
    ``code`` is stable and machine-readable; ``detail`` is for people.
    """

    pointer: str
    code: str
    detail: str
    got: str | None = None
    accepted: str | None = None

    def under(self, prefix: str) -> FieldProblem:
        """Return the same problem with its pointer moved below ``prefix``."""
        return FieldProblem(prefix + self.pointer, self.code, self.detail, self.got, self.accepted)


def as_sent(got: object) -> str:
    """Return what was got as its sender wrote it: JSON for lists, objects, true and false; else its text."""
    if isinstance(got, bool | dict | list | tuple):
        return json.dumps(got, ensure_ascii=False, default=str)
    return str(got)


class BoltspanError(Exception):
    """Base of all errors of the job. ``code`` names the kind for machines."""

    code = "error"


class InvalidInput(BoltspanError):
    """The input breaks one or more rules; every one found is listed."""

    code = "invalid"

    def __init__(self, problems: Iterable[FieldProblem]) -> None:
        self.problems: tuple[FieldProblem, ...] = tuple(problems)
        super().__init__("; ".join(f"{p.pointer or '/'}: {p.detail}" for p in self.problems))

    @classmethod
    def one(
        cls, pointer: str, code: str, detail: str, *, got: object = None, accepted: str | None = None
    ) -> InvalidInput:
        """Return an error with a single problem; ``got`` is shortened to 80 characters."""
        shown = None if got is None else as_sent(got)[:80]
        return cls([FieldProblem(pointer, code, detail, shown, accepted)])


class BrokenJson(BoltspanError):
    """The text is not JSON as RFC 8259 means it, or names a key twice, or nests too deep."""

    code = "broken_json"


class NotFound(BoltspanError):
    """No such thing, or nothing the asking person may see; ``nearest`` are the names of things that may be meant."""

    code = "not_found"

    def __init__(self, what: str, name: str, nearest: tuple[str, ...] = ()) -> None:
        self.what, self.name, self.nearest = what, name, nearest
        super().__init__(f"there is no {what} {name[:80]!r}")


class Gone(BoltspanError):
    """A record that was withdrawn or divided; ``ask_instead`` names the ids that answer now."""

    code = "gone"

    def __init__(self, what: str, name: str, why: str, ask_instead: Sequence[str] = ()) -> None:
        self.what, self.name, self.why, self.ask_instead = what, name, why, tuple(ask_instead)
        super().__init__(f"{what} {name} is gone: {why}")


class Moved(BoltspanError):
    """A record merged into another one."""

    code = "moved"

    def __init__(self, what: str, name: str, into: str) -> None:
        self.what, self.name, self.into = what, name, into
        super().__init__(f"{what} {name} was merged into {into}")


class Clash(BoltspanError):
    """The request is sound but does not go with what stands (a state, a running request)."""

    code = "conflict"


class KeyReused(BoltspanError):
    """An Idempotency-Key was used before with another body."""

    code = "key_reused"


class KeyMissing(BoltspanError):
    """A creating request came without an Idempotency-Key."""

    code = "key_missing"


class PreconditionMissing(BoltspanError):
    """An edit came without If-Match."""

    code = "precondition_missing"


class Stale(BoltspanError):
    """An edit was made against a state that is no longer the newest; ``changed`` are the events since it was read."""

    code = "stale"

    def __init__(self, detail: str, changed: Sequence[Mapping[str, object]] = ()) -> None:
        self.changed = tuple(changed)
        super().__init__(detail)


class NotAuthenticated(BoltspanError):
    """No token, or one that is wrong, expired or revoked."""

    code = "not_authenticated"


class NotAllowed(BoltspanError):
    """The person is known but may not do this."""

    code = "not_allowed"


class WrongType(BoltspanError):
    """What was sent is of another type than is taken, whatever it says of itself."""

    code = "unsupported_media_type"


class TooMany(BoltspanError):
    """A rate limit is used up; ``retry_after_s`` says when to come back."""

    code = "too_many"

    def __init__(self, detail: str, retry_after_s: int) -> None:
        self.retry_after_s = retry_after_s
        super().__init__(detail)


class Unavailable(BoltspanError):
    """The database cannot be reached or is not ready; nothing was written."""

    code = "unavailable"


class StorageFull(BoltspanError):
    """No room to write; nothing was written."""

    code = "storage_full"
