"""What the use cases need of storage. ``storage`` gives it; only ``bootstrap`` brings the two together.

Everything a unit of work returns is a plain domain object; everything is read and written inside one transaction.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Protocol

from boltspan.domain.claim_states import Question
from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.review import Decision
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.weighed import Weighed


@dataclass(frozen=True, slots=True)
class StoredFrame:
    """A frame as stored: ``listed`` is False for a proposal, ``sequence`` is the last event that touched it.

    ``sequence`` moves with the record, its claims and its decisions; it makes the tag of edits. An event that leaves
    the answer as it was, or brings an earlier one back, is noted so: the answer at ``holds_at`` is that of event
    ``holds_from``.
    """

    frame: Frame
    listed: bool = True
    proposed_by: str | None = None
    sequence: int = 0
    holds_at: int | None = None
    holds_from: int | None = None

    @property
    def event(self) -> int:
        """The event that the frame's answer follows: the last one that counts for it."""
        return self.holds_from if self.holds_from is not None and self.holds_at == self.sequence else self.sequence

    @property
    def about(self) -> Frame:
        """The record."""
        return self.frame


@dataclass(frozen=True, slots=True)
class StoredShock:
    """A shock as stored: ``listed`` is False for a proposal, ``sequence`` the last event that touched it.

    ``sequence`` moves with the record, its claims and its decisions.
    """

    shock: Shock
    sequence: int = 0
    listed: bool = True
    proposed_by: str | None = None

    @property
    def about(self) -> Shock:
        """The record."""
        return self.shock


Stored = StoredFrame | StoredShock


@dataclass(frozen=True, slots=True)
class ShockQuery:
    """Which shocks are asked for; every condition given must hold.

    ``models`` restricts to (make slug, model slug) pairs. ``after`` is the order key of the last shock seen:
    (make, model, first year, id).
    """

    make: str | None = None
    model: str | None = None
    models: tuple[tuple[str, str], ...] | None = None
    year: int | None = None
    after: tuple[str, str, int, str] | None = None
    limit: int = 50


@dataclass(frozen=True, slots=True)
class FrameQuery:
    """Which frames are asked for; every condition given must hold. Sizes match within 0.03 mm, at one and the same end.

    ``models`` restricts to (make slug, model slug) pairs. ``after`` is the order key of the last frame seen:
    (make, model, first year, id). Proposals are never found.
    """

    make: str | None = None
    model: str | None = None
    models: tuple[tuple[str, str], ...] | None = None
    year: int | None = None
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    mount: str | None = None
    standing: str | None = None
    after: tuple[str, str, int, str] | None = None
    limit: int = 50


@dataclass(frozen=True, slots=True)
class Event:
    """One change, of the frame or shock whose id is ``frame``, if of one.

    ``sequence`` is gap-free; ``at`` is an instant in UTC, ISO 8601; ``payload`` is JSON-ready.

    A payload of a record event holds ``frame`` (the record fields after the change), ``make``, ``model``,
    ``shock``, ``shock_model`` or ``hardware``.
    """

    sequence: int
    at: str
    actor: str | None
    kind: str
    frame: str | None = None
    subject: str | None = None
    payload: dict[str, Any] = field(default_factory=dict)
    hash: str = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """What somebody says is wrong with an answer: ``reason`` is a code, ``words`` are private to maintainers.

    ``frame`` is the id of a frame or a shock; ``subject`` is a subject of it, or "record" for it as a whole; ``by``
    None: nobody signed in.
    """

    id: str
    frame: str
    subject: str
    reason: str
    flagged_on: str
    words: str | None = None
    by: str | None = None
    sequence: int = 0
    closed_on: str | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """A question that found no answer, counted coarsely: ``what`` is JSON-ready (a frame, or make, model and year)."""

    key: str
    what: dict[str, Any]
    asked: int
    first_on: str
    last_on: str


@dataclass(frozen=True, slots=True)
class Case:
    """The review case of one subject of the frame or shock whose id is ``frame``.

    It is opened by the first claim that needs a look, closed by a decision, and so on.

    ``sequence`` is the last event on the subject; it makes the case's ETag. ``reasons`` are codes such as new_claim.
    ``rank`` is its place in the queue, the lower the sooner (``domain/stakes.py``).
    """

    id: str
    frame: str
    subject: str
    state: str
    opened_on: str
    reasons: tuple[str, ...]
    sequence: int
    rank: int = 0


@dataclass(frozen=True, slots=True)
class Account:
    """A person by their opaque id, with a handle if they chose one, and a role.

    ``last_active_on`` is the day of the last write; ``terms`` the version of the terms agreed to (None: the account was
    made at the command line); ``left_on`` is set when the person has left: such an account has no handle and no token.
    """

    id: str
    role: str
    handle: str | None = None
    created_on: str = ""
    blocked: bool = False
    last_active_on: str | None = None
    terms: str | None = None
    left_on: str | None = None


@dataclass(frozen=True, slots=True)
class StoredToken:
    """A token as stored: the hash of its secret only. ``expires_at`` and ``revoked_at`` are ISO instants or None."""

    id: str
    account: str
    secret_sha256: str
    scopes: tuple[str, ...]
    issued_at: str
    expires_at: str | None = None
    revoked_at: str | None = None
    last_used_on: str | None = None


@dataclass(frozen=True, slots=True)
class StoredSession:
    """A person signed in by page: ``id`` is the SHA-256 of what the cookie holds; the instants are ISO, in UTC.

    ``scopes`` are those of the token that was used, None when it may do all that the person's role may.
    """

    id: str
    account: str
    started_at: str
    ends_at: str
    scopes: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class StoredPhoto:
    """A photo of a claim: ``hash`` is the SHA-256 of its stored bytes and names its file.

    ``withdrawn_on`` is the day its author took it back.
    """

    claim: str
    hash: str
    person: str
    added_on: str
    width_px: int
    height_px: int
    bytes: int
    sequence: int = 0
    withdrawn_on: str | None = None


@dataclass(frozen=True, slots=True)
class SavedAnswer:
    """The answer to a creating request, kept with its Idempotency-Key: ``fingerprint`` of route and body, JSON body."""

    fingerprint: str
    status: int
    body: dict[str, Any]
    location: str | None
    saved_at: str


@dataclass(frozen=True, slots=True)
class Encoded:
    """One published answer, encoded once: what a GET of ``path`` sends, valid since event ``sequence``.

    ``body`` None means the path no longer answers from here (withdrawn, merged, gone).
    """

    path: str
    body: bytes | None
    etag: str
    sequence: int


@dataclass(frozen=True, slots=True)
class StoredRelease:
    """A release: ``version`` YYYY.MM.N, its manifest (JSON-ready), withdrawn or not."""

    version: str
    built_on: str
    event: int
    manifest: dict[str, Any]
    withdrawn_on: str | None = None
    withdrawn_why: str | None = None


@dataclass(frozen=True, slots=True)
class StoredSnapshot:
    """The rates of one full run of the evidence, and the prior it started from; two with one id are the same.

    ``catalogue`` and ``rates`` are JSON texts, ``made_on`` is a day, ``event`` the last event that went in.
    """

    id: str
    made_on: str = field(compare=False)
    event: int = field(compare=False)
    model_version: str = field(compare=False)
    catalogue: str = field(compare=False)
    rates: str = field(compare=False)


@dataclass(frozen=True, slots=True)
class StoredWeighed:
    """What the evidence says of one end with a snapshot's rates; ``weighed`` None where it has nothing to say.

    ``sequence`` is the frame's last event when it was weighed, -1 before that. ``own`` is what each contributor's
    claims on this end gave to their record in the snapshot (weight, sound part), so that no claim vouches for itself.
    """

    snapshot: str
    frame: str
    subject: str
    sequence: int
    own: dict[str, tuple[float, float]]
    weighed: Weighed | None


class Catalogue(Protocol):
    """Makes, models and frames."""

    def makes(self) -> list[Make]: ...  # by slug
    def make(self, slug: str) -> Make | None: ...
    def put_make(self, make: Make) -> None: ...  # insert or replace by slug
    def models(
        self, make: str | None = None
    ) -> list[Model]: ...  # by make, slug; only those with a listed frame or none at all
    def model(self, make: str, slug: str) -> Model | None: ...
    def put_model(self, model: Model) -> None: ...
    def frame(self, frame_id: str) -> StoredFrame | None: ...
    def frames(self, frame_ids: Sequence[str]) -> list[StoredFrame]: ...  # those that are there, by id
    def frames_of(
        self, make: str, model: str
    ) -> list[StoredFrame]: ...  # every record kind, proposals too; by first year, id
    def find(
        self, query: FrameQuery
    ) -> list[StoredFrame]: ...  # listed frames of record "frame", by (make, model, first year, id)
    def proposed_by(self, person: str) -> list[StoredFrame]: ...  # by (make, model, first year, id)
    def every_frame(self) -> Iterator[StoredFrame]: ...  # all, by (make, model, first year, id), streamed
    def put_frame(self, stored: StoredFrame) -> None: ...  # insert or replace by id; sequence as given
    def count(self) -> dict[str, int]: ...  # {"makes","models","frames","claims","decisions"}


class Shocks(Protocol):
    """Shock models and shocks."""

    def models(self, make: str | None = None) -> list[ShockModel]: ...  # not of proposals alone; by make, slug
    def model(self, make: str, slug: str) -> ShockModel | None: ...
    def put_model(self, model: ShockModel) -> None: ...  # insert or replace by make and slug
    def shock(self, shock_id: str) -> StoredShock | None: ...
    def shocks_of(self, make: str, model: str) -> list[StoredShock]: ...  # as ``Catalogue.frames_of``
    def find(self, query: ShockQuery) -> list[StoredShock]: ...  # listed and live, by (make, model, first year, id)
    def proposed_by(self, person: str) -> list[StoredShock]: ...  # by (make, model, first year, id)
    def every_shock(self) -> Iterator[StoredShock]: ...  # all, proposals too, by (make, model, first year, id)
    def put_shock(self, stored: StoredShock) -> None: ...  # insert or replace by id; sequence as given
    def count(self) -> dict[str, int]: ...  # {"shock_models","shocks","hardware_sizes"}


class Hardware(Protocol):
    """What sources say is produced in hardware."""

    def rows(self) -> list[HardwareSizes]: ...  # withdrawn ones too; by bolt, eyelet bore (none first), id
    def put(self, row: HardwareSizes) -> None: ...  # insert or replace by id; sequence as given


class Statements(Protocol):
    """Claims and decisions, about frames and shocks alike; ``frame_id`` is the id of either."""

    def claim(self, claim_id: str) -> Claim | None: ...
    def claims(self, frame_id: str) -> list[Claim]: ...  # all subjects and states, by sequence, then id
    def claims_of_frames(self, frame_ids: Sequence[str]) -> dict[str, list[Claim]]: ...
    def claims_by(self, person: str) -> list[Claim]: ...  # newest first
    def claims_of_document(self, document: str) -> list[Claim]: ...  # by frame, subject, sequence, id
    def count_of_document(self, document: str) -> int: ...  # claims that count
    def waiting_documents(
        self, least: int, most: int
    ) -> list[tuple[str, int]]: ...  # documents of so many waiting claims, the largest first, then by name
    def add_claims(self, claims: Iterable[Claim]) -> None: ...
    def set_state(
        self, claim: Claim
    ) -> None: ...  # writes the state of this id and how it ended; nothing else can change
    def decision(self, decision_id: str) -> Decision | None: ...
    def decisions(self, frame_id: str) -> list[Decision]: ...  # oldest first: by sequence, then order of arrival
    def decisions_of_person(self, person: str) -> list[Decision]: ...  # oldest first
    def decisions_of_frames(self, frame_ids: Sequence[str]) -> dict[str, list[Decision]]: ...
    def decisions_by(self, author: str, on: str | None = None) -> list[Decision]: ...  # oldest first; on one day or all
    def add_decisions(self, decisions: Iterable[Decision]) -> None: ...
    def questions(self, claim_ids: Sequence[str]) -> dict[str, list[Question]]: ...  # by claim, oldest first
    def put_question(self, question: Question) -> None: ...  # insert or replace by id


class Flags(Protocol):
    """What people say is wrong."""

    def of_frame(self, frame_id: str) -> list[Flag]: ...  # oldest first, closed ones too
    def by(self, person: str) -> list[Flag]: ...
    def put(self, flag: Flag) -> None: ...  # insert or replace by id


class WantedFrames(Protocol):
    """Questions that found no answer, counted."""

    def count(self, key: str, what: dict[str, Any], times: int, on: str) -> None: ...
    def asked(self, keys: Sequence[str]) -> dict[str, int]: ...
    def most_asked(self, limit: int) -> list[Wanted]: ...  # most asked first, then by key
    def kept(self) -> int: ...  # how many different ones there are


class Findings(Protocol):
    """The index of findings that look-ups by size and standing use; derived, replaced whole per frame."""

    def put(self, frame_id: str, findings: Sequence[Finding]) -> None: ...
    def count_by_standing(self) -> dict[str, int]: ...


class Snapshots(Protocol):
    """Snapshots of the evidence's rates. Which one answers rest on stands in the settings."""

    def snapshot(self, snapshot_id: str) -> StoredSnapshot | None: ...
    def put(self, snapshot: StoredSnapshot) -> None: ...  # insert or replace by id


class WeighedEnds(Protocol):
    """What the evidence says of each end, by snapshot; derived."""

    def of_frames(self, snapshot_id: str, frame_ids: Sequence[str]) -> dict[str, list[StoredWeighed]]: ...
    def put(self, weighed: Iterable[StoredWeighed]) -> None: ...  # insert or replace by snapshot, frame and subject
    def waiting(self, snapshot_id: str, limit: int) -> list[str]: ...  # frames not weighed yet (sequence -1), by id
    def count_waiting(self, snapshot_id: str) -> int: ...  # how many frames those are
    def drop(self, frame_ids: Sequence[str]) -> None: ...  # whatever is weighed of these frames
    def keep_only(self, snapshot_id: str) -> None: ...  # drops what belongs to other snapshots


class Published(Protocol):
    """Answers encoded once, by path; derived."""

    def put(
        self, answers: Iterable[Encoded]
    ) -> None: ...  # insert or replace by path; body None is kept as a tombstone
    def get(self, path: str) -> Encoded | None: ...  # tombstones included
    def paths(self, start: str) -> list[str]: ...  # that begin with start, ascending; tombstones included
    def since(self, sequence: int) -> Iterator[Encoded]: ...  # sequence > given, by sequence, path; tombstones included
    def newest(self, limit: int) -> Iterator[Encoded]: ...  # up to limit without tombstones, newest sequence first
    def clear(self) -> None: ...


class Events(Protocol):
    """Append-only; the sequence is assigned here under the lock that the writing transaction holds."""

    def record(
        self,
        actor: str | None,
        kind: str,
        *,
        frame: str | None = None,
        subject: str | None = None,
        payload: dict[str, Any] | None = None,
    ) -> int: ...  # returns the sequence
    def last(self) -> int: ...  # 0 when there is none
    def first(self) -> int: ...  # 0 when there is none
    def start_after(self, sequence: int) -> None: ...  # only in an empty database: the next event is sequence + 1
    def page(self, since: int, limit: int) -> list[Event]: ...  # sequence > since, ascending
    def of_frame(self, frame_id: str) -> list[Event]: ...  # ascending
    def by_actor(self, person: str) -> list[Event]: ...  # ascending
    def active_days(self, person: str) -> list[str]: ...  # the days with an event of theirs, ascending
    def days(self, sequences: Collection[int]) -> dict[int, str]: ...
    def instants(self, sequences: Collection[int]) -> dict[int, str]: ...
    def newest_record(self, key: str, at_most: int) -> Event | None: ...

    # the last event up to at_most that holds the record of key: a frame's, shock's or hardware id, "make/<slug>",
    # "model/<make>/<slug>", "shock_model/<make>/<slug>"


class Cases(Protocol):
    """Review cases, one a subject."""

    def case(self, case_id: str) -> Case | None: ...
    def of_subject(self, frame_id: str, subject: str) -> Case | None: ...
    def put(self, case: Case) -> None: ...  # insert or replace by id
    def page(
        self, state: str | None, after: tuple[int, int, str] | None, limit: int, fold: int | None = None
    ) -> list[Case]: ...  # by (rank, sequence, id) ascending; fold: not those that wait for documents of so many claims
    def of_frame(self, frame_id: str) -> list[Case]: ...


class Accounts(Protocol):
    """People and their tokens."""

    def account(self, person: str) -> Account | None: ...
    def by_handle(self, handle: str) -> Account | None: ...  # compared as handles.handle_key has it
    def looking_like(self, handle: str) -> Account | None: ...  # compared as handles.handle_skeleton has it
    def put_account(self, account: Account) -> None: ...  # insert or replace by id; Clash when the handle is taken
    def accounts(self) -> list[Account]: ...
    def token(self, token_id: str) -> StoredToken | None: ...
    def tokens_of(self, person: str) -> list[StoredToken]: ...
    def put_token(self, token: StoredToken) -> None: ...
    def session(self, session_id: str) -> StoredSession | None: ...
    def add_session(self, session: StoredSession) -> None: ...
    def end_session(self, session_id: str) -> None: ...
    def end_sessions(self, person: str) -> None: ...
    def end_sessions_before(self, instant: str) -> None: ...  # drops those whose ends_at is not after it


class Photos(Protocol):
    """Photos of claims; the files stand in the data folder under their hash."""

    def put(self, photo: StoredPhoto) -> None: ...  # insert or replace by claim and hash
    def of_claims(self, claim_ids: Sequence[str]) -> dict[str, list[StoredPhoto]]: ...  # by sequence, then hash
    def of_person(self, person: str) -> list[StoredPhoto]: ...  # by sequence, then hash
    # Both leave out what was withdrawn; this one does not, and the same photo may show two ends:
    def with_hash(self, photo_hash: str) -> list[StoredPhoto]: ...


class Keys(Protocol):
    """Saved answers by owner and Idempotency-Key; and counters of rate limits."""

    def saved(self, owner: str, key: str) -> SavedAnswer | None: ...
    def save(self, owner: str, key: str, answer: SavedAnswer) -> None: ...
    def forget_before(self, instant: str) -> int: ...  # drops saved answers older than this; returns how many
    def hit(self, name: str, now_s: float, window_s: int) -> int: ...  # hits in the current window, this one included


class Releases(Protocol):
    """Releases built on this database."""

    def release(self, version: str) -> StoredRelease | None: ...
    def releases(self) -> list[StoredRelease]: ...  # newest first
    def put(self, release: StoredRelease) -> None: ...


class Settings(Protocol):
    """Small facts about the database itself: title, licence, demo, answers_version, cursor_key, snapshot."""

    def get(self, name: str) -> str | None: ...
    def put(self, name: str, value: str) -> None: ...


class UnitOfWork(Protocol):
    """One transaction. A reading one must not be written to."""

    @property
    def catalogue(self) -> Catalogue: ...
    @property
    def shocks(self) -> Shocks: ...
    @property
    def hardware(self) -> Hardware: ...
    @property
    def statements(self) -> Statements: ...
    @property
    def findings(self) -> Findings: ...
    @property
    def snapshots(self) -> Snapshots: ...
    @property
    def weighed(self) -> WeighedEnds: ...
    @property
    def published(self) -> Published: ...
    @property
    def events(self) -> Events: ...
    @property
    def cases(self) -> Cases: ...
    @property
    def flags(self) -> Flags: ...
    @property
    def wanted(self) -> WantedFrames: ...
    @property
    def accounts(self) -> Accounts: ...
    @property
    def photos(self) -> Photos: ...
    @property
    def keys(self) -> Keys: ...
    @property
    def releases(self) -> Releases: ...
    @property
    def settings(self) -> Settings: ...


class Storage(Protocol):
    """Opens units of work. Raises Unavailable when the database cannot be reached, StorageFull when it cannot grow."""

    def reading(self) -> AbstractContextManager[UnitOfWork]: ...  # a consistent snapshot
    def writing(
        self,
    ) -> AbstractContextManager[UnitOfWork]: ...  # one writer at a time; commits on a clean exit, else rolls back
    def ready(self) -> list[str]: ...  # [] when database, migrations and disk are in order, else what is not


class Clock(Protocol):
    """The time, in one place so that tests can set it."""

    def now(self) -> str: ...  # UTC, "YYYY-MM-DDTHH:MM:SS.ffffffZ"
    def today(self) -> str: ...  # UTC date
