"""Headers that every answer of a kind carries, in one place so that no two ways of answering differ."""

from __future__ import annotations

from typing import Final

JSON: Final = "application/json"
PROBLEM: Final = "application/problem+json"

LOOKUP_CACHE: Final = "public, max-age=60, stale-while-revalidate=60"
IMMUTABLE_CACHE: Final = "public, max-age=31536000, immutable"
PRIVATE_CACHE: Final = "no-store"

VARY: Final = "Authorization"
"""A wrong token is refused everywhere, and a proposal is there for its author only."""

SECURE: Final = ("X-Content-Type-Options", "nosniff")
"""On every answer. What guards pages means nothing on JSON, and each header costs a ready answer time."""
POLICY: Final = "Content-Security-Policy"
SECURE_PAGE: Final = (
    ("Referrer-Policy", "same-origin"),
    (
        POLICY,
        "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'",
    ),
)
"""Pages have a style sheet and pictures of their own and no script at all. Others learn nothing of where a link stood;
our own forms still say where they were sent from, which "no-referrer" would hide (Fetch, "append a request Origin")."""
SCRIPTED_PAGE: Final = f"{dict(SECURE_PAGE)[POLICY]}; script-src 'self'; connect-src 'self'"
"""The policy of a page with a script of ours: it may run files of this server, ask this server, and nothing else."""

EXPOSED: Final = "Allow, ETag, Link, Location, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"
CORS: Final = (("Access-Control-Allow-Origin", "*"), ("Access-Control-Expose-Headers", EXPOSED))
"""On what anybody may read, so that a shop's page can ask. Never with credentials."""
PREFLIGHT: Final = (
    ("Access-Control-Allow-Headers", "Content-Type, If-None-Match, X-Request-Id"),
    ("Access-Control-Max-Age", "86400"),
)
