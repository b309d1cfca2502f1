"""Widths the trade makes hardware in, in mm: what a caliper reading may be a reading of.

Whole millimetres from 15 to 70 and the inch sizes that occur, 22.225 standing for 7/8 in (called 22.2).
Common practice, no source; a dataset's own widths are added where they are known.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

_INCH: Final = ("19.05", "22.225", "25.4", "28.575", "31.75", "38.1", "41.275", "44.45", "50.8")
_BETWEEN: Final = ("21.8",)

TRADE_WIDTHS_MM: Final = tuple(sorted({*map(Decimal, range(15, 71)), *map(Decimal, _INCH), *map(Decimal, _BETWEEN)}))
