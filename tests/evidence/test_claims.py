"""How much a claim weighs beside others, and how many witnesses there are."""

from __future__ import annotations

import math
from typing import Any

import pytest

from boltspan.evidence import load_parameters
from boltspan.evidence.claims import ClaimTable, tabulate
from boltspan.evidence.intake import read_claims, read_ends


def table_of(*claims: dict[str, Any]) -> ClaimTable:
    ends = read_ends([{"end_id": "e", "frame_id": "f"}])
    rows = [
        {"claim_id": f"c{n}", "sequence": n, "end_id": "e", "mount": "trunnion", "contributor": f"p{n}"} | claim
        for n, claim in enumerate(claims)
    ]
    return tabulate(read_claims(rows, ends, load_parameters()), len(ends))


def page(name: str, **more: Any) -> dict[str, Any]:
    return {"source": "spec_page", "document_id": name, **more}


def test_readers_of_one_document_weigh_as_one() -> None:
    table = table_of(*[page("d")] * 4, page("other"))
    assert table.exponents.tolist() == [0.25] * 4 + [1.0]
    assert table.witnesses.tolist() == [2]


def test_a_document_is_one_whatever_its_source_is_called() -> None:
    table = table_of(page("d"), page("d", source="manual"))
    assert table.exponents.tolist() == [0.5, 0.5]


def test_an_untagged_document_joins_the_first_of_its_source() -> None:
    table = table_of({"source": "spec_page"}, page("first"), page("second"), {"source": "manual"})
    assert table.exponents.tolist() == [0.5, 0.5, 1.0, 1.0]
    assert table.witnesses.tolist() == [3]


def test_untagged_documents_of_one_source_are_one() -> None:
    table = table_of(*[{"source": "manual"}] * 2, *[{"source": "spec_page"}] * 3)
    assert table.exponents.tolist() == pytest.approx([1 / 2] * 2 + [1 / 3] * 3)
    assert table.witnesses.tolist() == [2]


def test_ten_readings_by_one_person_weigh_as_one_person() -> None:
    table = table_of(*[{"source": "caliper", "contributor": "p"}] * 10)
    assert table.exponents.tolist() == pytest.approx([0.1] * 10)
    assert table.witnesses.tolist() == [1]


def test_documents_read_by_one_person_weigh_less() -> None:
    table = table_of(page("a", contributor="p"), page("b", contributor="p"), {"source": "ruler", "contributor": "p"})
    assert table.exponents.tolist() == pytest.approx([1 / math.sqrt(3)] * 2 + [1 / 3])
    assert table.witnesses.tolist() == [3]


def test_what_was_fitted_is_a_document_of_its_own_for_each_person() -> None:
    fitted = {"source": "fitted", "document_id": "d"}
    table = table_of(fitted | {"contributor": "p"}, fitted | {"contributor": "q"}, fitted | {"contributor": "q"})
    assert table.exponents.tolist() == [1.0, 0.5, 0.5]
    assert table.witnesses.tolist() == [2]


def test_one_reader_of_one_document_is_one_report_however_often_given() -> None:
    mine = [page("d", contributor="p")] * 2
    table = table_of(*mine, page("d", contributor="q"), {"source": "ruler", "contributor": "p"})
    assert table.exponents.tolist() == [0.25, 0.25, 0.5, 0.5]
    assert table.witnesses.tolist() == [2]


def test_no_claims() -> None:
    table = table_of()
    assert table.exponents.shape == (0,)
    assert table.witnesses.tolist() == [0]
