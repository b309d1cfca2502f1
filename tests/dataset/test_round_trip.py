"""Whatever a dataset holds comes back from its files exactly, and the files come out the same again."""

from __future__ import annotations

import tempfile
from decimal import Decimal
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boltspan.dataset.checks import check
from boltspan.dataset.contents import Dataset
from boltspan.dataset.documents import document, documents_in
from boltspan.dataset.files import format_folder, read_dataset, write_dataset
from boltspan.dataset.formatting import file_text, formatted
from boltspan.dataset.keyorder import canonical
from boltspan.dataset.layout import documents_of, kind_of
from boltspan.dataset.text import WIDTH, text_of
from boltspan.domain.errors import BrokenJson
from boltspan.domain.jsontext import dumps, loads
from tests.dataset.sample import FRAMES, files, upper
from tests.dataset.strategies import datasets, lengths

SOME = settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))


@SOME
@given(datasets())
def test_a_dataset_comes_back_from_its_files(whole: Dataset) -> None:
    found = [document(path, file_text(data, str(kind_of(path)))) for path, data in documents_of(whole).items()]
    checked = check(found)
    assert [p.text() for p in checked.errors] == []
    assert checked.records.whole() == whole


@SOME
@given(datasets())
def test_records_are_written_in_the_tables_order_already(whole: Dataset) -> None:
    """The domain's order of fields and the table's are one, so that neither can drift from the other."""
    for path, data in documents_of(whole).items():
        assert dumps(canonical(data, str(kind_of(path)))) == dumps(data)


@settings(SOME, max_examples=15)
@given(datasets())
def test_files_read_and_written_again_are_the_same_bytes(whole: Dataset) -> None:
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as other:
        write_dataset(whole, Path(one))
        write_dataset(read_dataset(Path(one)), Path(other))
        assert _bytes(Path(one)) == _bytes(Path(other))
        assert format_folder(Path(one)) == []


def _bytes(root: Path) -> dict[str, bytes]:
    return {d.path: d.raw for d in documents_in(root)}


@settings(SOME, max_examples=300)
@given(lengths((Decimal(12), Decimal(80))), st.integers(0, 3))
def test_a_length_goes_through_a_file_without_losing_a_digit(width: Decimal, zeros: int) -> None:
    """Exact decimals, at most six places, written without trailing zeros and read with any number of them."""
    content = files()
    value = {"mount": "hardware", "width_mm": width}
    upper(content)["claims"][0]["value"] = value
    upper(content).pop("decisions")
    raw = file_text(content[FRAMES], "frames")
    digits = format(width, "f")
    assert f'"width_mm": {digits}'.encode() in raw
    assert "E" not in digits
    assert not ("." in digits and digits.endswith("0"))
    padded = digits + ("." if "." not in digits else "") + "0" * zeros if zeros else digits
    longer = raw.replace(f'"width_mm": {digits}}}'.encode(), f'"width_mm": {padded}}}'.encode())
    read = check([document(p, file_text(d, str(kind_of(p)))) for p, d in content.items() if p != FRAMES]
                 + [document(FRAMES, longer)])  # fmt: skip
    assert {p.code for p in read.errors} <= {"format"}
    (claim,) = [c.record for c in read.records.claims if c.record.id == "c-0000000001"]
    assert claim.value is not None
    assert str(claim.value.width_mm) == str(width)  # type: ignore[union-attr]
    assert formatted(document(FRAMES, longer)) == raw


JSON = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(10**12), 10**12),
        st.decimals(-1000, 1000, allow_nan=False, allow_infinity=False, places=6),
        st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=150),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=5),
        st.dictionaries(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=9), inner),
    ),
    max_leaves=30,
)


@settings(SOME, max_examples=300)
@given(JSON)
def test_the_text_says_what_the_value_says_and_keeps_to_its_width(value: Any) -> None:
    text = text_of(value)
    assert loads(text.encode()) == value
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
    for line in text.split("\n"):
        bare = line.lstrip(" ")
        assert (len(line) - len(bare)) % 2 == 0
        assert len(line) <= WIDTH or _stands_alone(bare.removesuffix(",")), line


def _stands_alone(text: str) -> bool:
    """Whether a line is one plain value, with its key or without: what cannot be broken may stick out."""
    for whole in (text, f"{{{text}}}"):
        try:
            value = loads(whole.encode())
        except BrokenJson:
            continue
        plain = next(iter(value.values())) if whole != text and len(value) == 1 else value
        return not isinstance(plain, dict | list)
    return False


@settings(SOME, max_examples=100)
@given(JSON, st.sampled_from(["dataset", "make", "frames", "frame", "claim", "source"]))
def test_putting_in_order_loses_nothing_and_is_done_once(value: Any, kind: str) -> None:
    once = canonical(value, kind)
    assert dumps(canonical(once, kind)) == dumps(once)
    if isinstance(value, dict):
        assert set(once) - {"document"} == set(value) - {"document"}
