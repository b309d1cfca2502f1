"""The shape of problem details (RFC 9457) as this service sends them."""

from __future__ import annotations

from marshmallow import fields

from boltspan.http.schemas.fields import Open


class FieldError(Open):
    """One wrong field."""

    pointer = fields.String(required=True, metadata={"description": "JSON Pointer (RFC 6901) of the field."})
    code = fields.String(required=True, metadata={"description": "Stable name of the rule that is broken."})
    detail = fields.String(required=True, metadata={"description": "What is wrong, for people."})
    got = fields.String(metadata={"description": "What was got, shortened."})
    accepted = fields.String(metadata={"description": "What is accepted."})


class Problem(Open):
    """What went wrong; nothing was changed."""

    type = fields.String(required=True, metadata={"description": "Path of the page about this kind of problem."})
    title = fields.String(required=True)
    status = fields.Integer(required=True)
    detail = fields.String(required=True)
    code = fields.String(required=True, metadata={"description": "Stable name of the kind, or of the bench's refusal."})
    request_id = fields.String(required=True, metadata={"description": "Stands in the service's log too."})
    errors = fields.List(fields.Nested(FieldError), metadata={"description": "Every wrong field."})
    why = fields.String(metadata={"description": "Why a record is gone."})
    changed = fields.List(
        fields.Dict(keys=fields.String()), metadata={"description": "What happened since the thing was read."}
    )
    nearest = fields.List(fields.String(), metadata={"description": "Slugs that may be meant instead."})
    ask_instead = fields.List(fields.String(), metadata={"description": "The records that answer now."})
