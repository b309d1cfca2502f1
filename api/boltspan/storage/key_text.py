"""Text that is compared and ordered: by its code points, on every database alike.

SQLite compares bytes. PostgreSQL compares by the rules of a language unless told otherwise, and rules of languages pass
over hyphens; the collation "C" compares bytes there too.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import Text

KeyText: Final = Text().with_variant(Text(collation="C"), "postgresql")
