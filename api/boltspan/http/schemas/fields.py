"""Fields of all schemas: strict about types, exact about numbers, and telling what was got and what is accepted.

Python's lenient readings are refused: text or a fraction is no integer, 1 is no true, full-width digits are no digits.
Patterns are matched whole, since JSON Schema's ``$`` and Python's differ at a final line feed.
"""

# ruff: noqa: ARG002 - the signature of _deserialize is marshmallow\'s

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar, Final

import marshmallow as ma
from marshmallow import fields
from marshmallow.utils import is_sequence_but_not_string

from boltspan.domain.errors import FieldProblem, InvalidInput
from boltspan.domain.fields import FIRST_DAY
from boltspan.domain.ids import KINDS, pattern
from boltspan.domain.lengths import MOST_MM, length, plain

MOST_INTEGER: Final = 2**53 - 1
"""The largest integer that every JSON reader keeps (RFC 8259, section 6)."""

# Control, format, surrogate and private-use characters but tab and line feed, as in schema/fields-1.json.
HIDDEN: Final = (
    "\u0000-\u0008\u000b-\u001f\u007f-\u009f\u00ad\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2\u180e"
    "\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ue000-\uf8ff\ufeff\ufff9-\ufffb\U000110bd\U000110cd"
    "\U00013430-\U0001343f\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0001\U000e0020-\U000e007f"
    "\U000f0000-\U000ffffd\U00100000-\U0010fffd"
)
_PLAIN: Final = re.compile(rf"[^{HIDDEN}]*")
# For readers of the document: the same set, but with the large private planes in a look-ahead, since programs that
# make texts from a pattern write out every character of a class.
_FAR: Final = HIDDEN.index("\U000f0000")
NOT_FAR: Final = rf"(?![\s\S]*[{HIDDEN[_FAR:]}])"
NEAR: Final = HIDDEN[:_FAR]


def wrong(code: str, detail: str, accepted: str | None = None, *, at: str | None = None) -> ma.ValidationError:
    """Return an error of the field at hand, or of the field ``at`` below the schema at hand."""
    told = [FieldProblem("", code, detail, None, accepted)]
    return ma.ValidationError(told, at) if at is not None else ma.ValidationError(told)


def _told(code: str, detail: str, accepted: str | None = None) -> list[FieldProblem]:
    return [FieldProblem("", code, detail, None, accepted)]


_MESSAGES: Final[dict[str, Any]] = {
    "required": _told("field_missing", "this field is needed"),
    "null": _told("null_not_taken", "null stands for nothing here", "a value; leave the field out when there is none"),
}


class Closed(ma.Schema):
    """A JSON object that takes just its own fields.

    ``Meta.also`` is merged into its JSON Schema: what the fields alone do not say, such as minProperties.
    """

    class Meta:
        unknown = ma.RAISE
        also: Mapping[str, Any] = {}

    error_messages: ClassVar[dict[str, Any]] = {  # type: ignore[misc]
        "type": _told("not_an_object", "a JSON object is wanted here", "an object")
    }

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        names = ", ".join(f.data_key or n for n, f in self.load_fields.items())
        self.error_messages["unknown"] = FieldProblem(
            "", "unknown_field", "there is no such field here", None, names or "no field at all"
        )

    @ma.validates_schema(skip_on_field_errors=False, pass_original=True)
    def _something(self, _data: Any, original: Any, **_: Any) -> None:
        least = dict(getattr(self.Meta, "also", {})).get("minProperties", 0)
        if isinstance(original, Mapping) and len(original) < least:
            names = ", ".join(f.data_key or n for n, f in self.load_fields.items())
            raise wrong("nothing_stated", "the object is empty or says too little", f"at least {least} of {names}")


class Open(ma.Schema):
    """An answer: its documented fields, and any that come later (they are never a breaking change)."""

    class Meta:
        unknown = ma.EXCLUDE
        also: Mapping[str, Any] = {}


class Text(fields.String):
    """Plain text of ``least`` to ``most`` characters, not blank, without characters that cannot be seen."""

    default_error_messages = _MESSAGES

    def __init__(
        self,
        *,
        least: int = 1,
        most: int,
        shape: str | None = None,
        shown: str | None = None,
        accepted: str | None = None,
        **options: Any,
    ) -> None:
        self.least, self.most = least, most
        self.shape = None if shape is None else re.compile(shape)
        self.accepted = accepted or f"text of {least} to {most} characters"
        stated: dict[str, Any] = {"minLength": least, "maxLength": most}
        if shape is not None:
            stated["pattern"] = f"^{shown or shape}$"
        elif least:
            stated["pattern"] = f"^{NOT_FAR}[^{NEAR}]*[^\\s{NEAR}][^{NEAR}]*$"
        super().__init__(metadata=_stated(options, stated), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> str:
        if not isinstance(value, str):
            raise wrong("not_text", "text is wanted here", self.accepted)
        if not self.least <= len(value) <= self.most:
            raise wrong("bad_length", "the text is too short or too long", self.accepted)
        if self.shape is not None:
            if not self.shape.fullmatch(value):
                raise wrong("bad_form", "the text has not the form that is wanted here", self.accepted)
        elif self.least and not value.strip():
            raise wrong("bad_length", "the text is blank", self.accepted)
        elif not _PLAIN.fullmatch(value):
            raise wrong("hidden_character", "the text holds characters that cannot be seen", self.accepted)
        return value


class Id(Text):
    """An id of one kind, such as ``f-7k3m9q2dxw``."""

    def __init__(self, kind: str, **options: Any) -> None:
        shape = pattern(kind).removeprefix("^").removesuffix("$")
        accepted = f"the id of a {kind}: {KINDS[kind]}- and ten of 0-9 and a-z without i, l and o"
        super().__init__(most=12, least=12, shape=shape, accepted=accepted, **options)


class Choice(fields.String):
    """One of a few words."""

    default_error_messages = _MESSAGES

    def __init__(self, words: Iterable[str], **options: Any) -> None:
        self.words = tuple(words)
        super().__init__(metadata=_stated(options, {"enum": list(self.words)}), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> str:
        if not isinstance(value, str) or value not in self.words:
            raise wrong("not_one_of", "this is none of the words taken here", ", ".join(self.words))
        return value


class Day(Text):
    """A calendar date from 1990 on."""

    def __init__(self, **options: Any) -> None:
        shape = r"(?:199[0-9]|[2-9][0-9]{3})-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"
        accepted = f"YYYY-MM-DD, {FIRST_DAY} or later"
        options["metadata"] = {"format": "date", **options.get("metadata", {})}
        super().__init__(least=10, most=10, shape=shape, accepted=accepted, **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> str:
        text = super()._deserialize(value, attr, data, **options)
        try:
            datetime.date.fromisoformat(text)
        except ValueError:
            raise wrong("bad_date", "the calendar has no such day", self.accepted) from None
        return text


class Whole(fields.Integer):
    """A JSON integer from ``least`` to ``most``: 2021 or 2021.0, never "2021", 2021.5 or true."""

    default_error_messages = _MESSAGES

    def __init__(self, *, least: int = 0, most: int = MOST_INTEGER, **options: Any) -> None:
        self.least, self.most = least, most
        super().__init__(metadata=_stated(options, {"minimum": least, "maximum": most}), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> int:
        accepted = f"a whole number from {self.least} to {self.most}"
        if isinstance(value, bool) or not isinstance(value, int | Decimal) or Decimal(value).as_integer_ratio()[1] != 1:
            raise wrong("not_a_whole_number", "a JSON integer is wanted here", accepted)
        if not self.least <= value <= self.most:
            raise wrong("out_of_range", "the number is too small or too large", accepted)
        return int(value)


class Flag(fields.Boolean):
    """JSON true or false; with ``only`` just that one, since its opposite is said by leaving the field out."""

    default_error_messages = _MESSAGES

    def __init__(self, *, only: bool | None = None, **options: Any) -> None:
        self.taken = (True, False) if only is None else (only,)
        super().__init__(metadata=_stated(options, {} if only is None else {"enum": [only]}), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> bool:
        if not isinstance(value, bool) or value not in self.taken:
            words = " or ".join("true" if t else "false" for t in self.taken)
            raise wrong("not_taken", f"{words} is wanted here", f"{words}; leave the field out when it is not known")
        return value


class Length(fields.Decimal):
    """An exact length in mm: over ``over``, at most ``most``, at most six decimal places."""

    default_error_messages = _MESSAGES

    def __init__(self, *, over: Decimal = Decimal(0), most: Decimal = MOST_MM, **options: Any) -> None:
        self.over, self.most = over, most
        super().__init__(metadata=_stated(options, {"exclusiveMinimum": over, "maximum": most}), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Decimal:
        try:
            exact = length(value)
        except InvalidInput as e:
            raise ma.ValidationError([*e.problems]) from None
        if not self.over < exact <= self.most:
            accepted = f"over {plain(self.over)}, at most {plain(self.most)} mm"
            raise wrong("impossible_size", "no shock mount has this size", accepted)
        return exact


class Amount(fields.Decimal):
    """Any finite number from ``least`` to ``most`` (or ``over`` it), with as many digits as it came with."""

    default_error_messages = _MESSAGES

    def __init__(
        self, *, least: Decimal | None = None, over: Decimal | None = None, most: Decimal, **options: Any
    ) -> None:
        self.least, self.over, self.most = least, over, most
        bound = {"exclusiveMinimum": over} if over is not None else {"minimum": least}
        super().__init__(metadata=_stated(options, {**bound, "maximum": most}), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Decimal:
        start = f"over {plain(self.over)}" if self.over is not None else f"{plain(self.least or Decimal(0))} or more"
        accepted = f"a number, {start}, at most {plain(self.most)}"
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            raise wrong("not_a_number", "a JSON number is wanted here", accepted)
        number = Decimal(value)
        low = self.over is not None and number <= self.over
        if low or (self.least is not None and number < self.least) or number > self.most:
            raise wrong("out_of_range", "the number is too small or too large", accepted)
        return number


class Part(fields.Nested):
    """An object of one schema."""

    default_error_messages = _MESSAGES


class Items(fields.List[Any]):
    """A list of ``least`` to ``most`` entries; with ``unique`` each stands once."""

    default_error_messages = _MESSAGES

    def __init__(
        self, entry: Any, *, least: int = 0, most: int | None = None, unique: bool = False, **options: Any
    ) -> None:
        self.least, self.most, self.unique = least, most, unique
        stated: dict[str, Any] = {"minItems": least} if least else {}
        if most is not None:
            stated["maxItems"] = most
        if unique:
            stated["uniqueItems"] = True
        super().__init__(entry, metadata=_stated(options, stated), **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> list[Any]:
        if not is_sequence_but_not_string(value):
            raise wrong("not_a_list", "a JSON list is wanted here", "a list")
        if len(value) < self.least or (self.most is not None and len(value) > self.most):
            accepted = f"{self.least} entries or more" if self.most is None else f"{self.least} to {self.most} entries"
            raise wrong("wrong_number_of_entries", "the list has too few or too many entries", accepted)
        if self.unique and any(value.index(v) != i for i, v in enumerate(value)):
            raise wrong("named_twice", "an entry stands twice", "each entry once")
        return list(super()._deserialize(value, attr, data, **options))


class OneOf(fields.Raw):
    """An object of one of several schemas, told apart by what it holds.

    ``choose`` returns the schema for an object; it raises ValidationError when there is none.
    """

    default_error_messages = _MESSAGES

    def __init__(
        self, schemas: Sequence[type[ma.Schema]], choose: Callable[[Mapping[str, Any]], type[ma.Schema]], **options: Any
    ) -> None:
        self.schemas, self.choose = tuple(schemas), choose
        super().__init__(**options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        if not isinstance(value, Mapping):
            raise wrong("not_an_object", "a JSON object is wanted here", "an object")
        try:
            return self.choose(value)().load(value)
        except ma.ValidationError as error:  # so that the word which chooses is named as the field that is wrong
            raise ma.ValidationError(error.normalized_messages()) from None  # type: ignore[no-untyped-call]


def by_word(key: str, schemas: Mapping[str, type[ma.Schema]]) -> Callable[[Mapping[str, Any]], type[ma.Schema]]:
    """Return a chooser that takes the schema named by the word under ``key``."""

    def choose(value: Mapping[str, Any]) -> type[ma.Schema]:
        if key not in value:
            raise wrong("field_missing", "this field is needed", ", ".join(schemas), at=key)
        word = value[key]
        if not isinstance(word, str) or word not in schemas:
            raise wrong("not_one_of", "this is none of the words taken here", ", ".join(schemas), at=key)
        return schemas[word]

    return choose


class Union(ma.Schema):
    """A body that is one of several schemas, told apart by what it holds."""

    choose: Callable[[Mapping[str, Any]], type[ma.Schema]]
    schemas: Sequence[type[ma.Schema]]

    class Meta:
        also: Mapping[str, Any] = {}

    def load(self, data: Any, **_: Any) -> Any:
        """Return the body as its own schema loads it. Raises ValidationError."""
        try:
            if not isinstance(data, Mapping):
                raise wrong("not_an_object", "a JSON object is wanted here", "an object")
            return self.choose(data)().load(data)
        except ma.ValidationError as error:
            raise ma.ValidationError(error.normalized_messages(), data=data) from None  # type: ignore[no-untyped-call]


def _stated(options: dict[str, Any], stated: Mapping[str, Any]) -> dict[str, Any]:
    """Return the metadata for the document: what the field states by itself, then what its user added."""
    return {**stated, **options.pop("metadata", {})}
