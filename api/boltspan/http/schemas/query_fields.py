"""Fields of queries, where everything comes as text: ASCII digits only, exact decimals."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.lengths import MOST_MM, PLACES
from boltspan.http.schemas.fields import Amount, Whole, wrong

QUERY_DIGITS: Final = re.compile(r"[0-9]{1,9}")
_QUERY_DECIMAL: Final = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,25})?(?:[eE][-+]?[0-9]{1,3})?")


class QueryWhole(Whole):
    """An integer in a query: ASCII digits only."""

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> int:
        if not QUERY_DIGITS.fullmatch(value):
            accepted = f"a whole number from {self.least} to {self.most}"
            raise wrong("not_a_whole_number", "a whole number is wanted here", accepted)
        return super()._deserialize(int(value), attr, data, **options)


class Size(Amount):
    """A size in mm that is looked for: rounded to the nanometre, which is finer than any size."""

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> Decimal:
        return round(super()._deserialize(value, attr, data, **options), PLACES)


class QuerySize(Size):
    """A size in mm in a query: an exact decimal."""

    def __init__(self, **options: Any) -> None:
        super().__init__(over=Decimal(0), most=MOST_MM, **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> Decimal:
        if not _QUERY_DECIMAL.fullmatch(value):
            raise wrong("not_a_number", "a number is wanted here", "a number such as 22.2")
        return super()._deserialize(Decimal(value), attr, data, **options)
