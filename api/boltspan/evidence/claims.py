"""The claims of a batch as columns, and how much each of them weighs beside the others."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boltspan.evidence.intake import INCH_BOLT, Claim
from boltspan.evidence.normal import Floats
from boltspan.evidence.vocabulary import (
    BOLT_FEATURES,
    CALIPER,
    FITTED,
    MOUNTS,
    RULER,
    SOURCES,
    TOOLS,
    WIDTH_FEATURES,
)

Integers = NDArray[np.intp]
Booleans = NDArray[np.bool_]

_SOURCE_CODE = {source: code for code, source in enumerate(SOURCES)}
_MOUNT_CODE = {mount: code for code, mount in enumerate(MOUNTS)}
_FEATURE_CODE = {None: 0} | {feature: code for code, feature in enumerate(BOLT_FEATURES, 1)}
_CONDITION_CODE = {None: 0} | {feature: code for code, feature in enumerate(WIDTH_FEATURES, 1)}

HARDWARE_CODE = 0
FITTED_CODE = _SOURCE_CODE[FITTED]
CALIPER_CODE = _SOURCE_CODE[CALIPER]
RULER_CODE = _SOURCE_CODE[RULER]
FIRST_TOOL_CODE = _SOURCE_CODE[TOOLS[0]]


@dataclass(frozen=True, slots=True)
class ClaimTable:
    """C claims, ordered by end, sequence and claim_id; codes index the tuples of the vocabulary.

    `feature` and `condition` are 0 when not stated. `exponents` are the lambdas of the model. `persons` numbers the
    pairs of end and contributor. `by_sequence` puts claims into the order in which sums over them are taken.
    `unnamed` marks readings that state no mount; they stand under hardware.
    """

    ends: Integers
    sources: Integers
    contributors: Integers
    contributor_ids: list[str]
    persons: Integers
    mounts: Integers
    bolt_mm: Floats
    width_mm: Floats
    readings: Floats
    features: Integers
    conditions: Integers
    exponents: Floats
    by_sequence: Integers
    witnesses: Integers
    inch: Booleans
    unnamed: Booleans

    @property
    def hardware(self) -> Booleans:
        """Which claims name hardware (C)."""
        hardware: Booleans = self.mounts == HARDWARE_CODE
        return hardware

    @property
    def measured(self) -> Booleans:
        """Which claims are readings of a tool (C)."""
        measured: Booleans = self.sources >= FIRST_TOOL_CODE
        return measured


def tabulate(claims: Sequence[Claim], end_count: int) -> ClaimTable:
    """The columns of the claims, which stand in the order of `read_claims`; empty columns for none."""
    codes: dict[str, int] = {}
    contributors = _integers(codes.setdefault(claim.contributor, len(codes)) for claim in claims)
    ends = _integers(claim.end for claim in claims)
    sources = _integers(_SOURCE_CODE[claim.source] for claim in claims)
    pairs = ends * max(len(codes), 1) + contributors
    _, persons = np.unique(pairs, return_inverse=True)
    groups = _document_groups(claims, sources)
    return ClaimTable(
        ends=ends,
        sources=sources,
        contributors=contributors,
        contributor_ids=list(codes),
        persons=persons,
        mounts=_integers(_MOUNT_CODE[claim.mount] for claim in claims),
        bolt_mm=np.array([claim.bolt_mm for claim in claims], dtype=np.float64),
        width_mm=np.array([claim.width_mm for claim in claims], dtype=np.float64),
        readings=np.array([claim.readings for claim in claims], dtype=np.float64),
        features=_integers(_FEATURE_CODE[claim.feature] for claim in claims),
        conditions=_integers(_CONDITION_CODE[claim.width_feature] for claim in claims),
        exponents=_exponents(groups, persons),
        by_sequence=_integers(sorted(range(len(claims)), key=lambda place: claims[place][1:3])),
        witnesses=_witnesses(ends, groups, persons, end_count),
        inch=np.array([INCH_BOLT in claim.marks for claim in claims], dtype=np.bool_),
        unnamed=np.array([not claim.mount_stated for claim in claims], dtype=np.bool_),
    )


def _integers(values: Iterable[int]) -> Integers:
    return np.fromiter(values, dtype=np.intp)


def _document_groups(claims: Sequence[Claim], sources: Integers) -> Integers:
    """For each claim the number of the document it repeats, -1 for a measurement (C).

    Claims of one end with one document_id share a document. An untagged one is taken for the first tagged document of
    its own source, else for the one untagged document of that source. What a person fitted is a document of their own.
    """
    numbers: dict[tuple[object, ...], int] = {}
    first_of_source: dict[tuple[int, str], int] = {}
    groups = np.full(len(claims), -1, dtype=np.intp)
    untagged = []
    for place in np.flatnonzero(sources < FIRST_TOOL_CODE).tolist():
        claim = claims[place]
        if claim.source == FITTED:
            groups[place] = numbers.setdefault((claim.end, FITTED, claim.contributor), len(numbers))
        elif claim.document_id is None:
            untagged.append(place)
        else:
            number = numbers.setdefault((claim.end, claim.document_id), len(numbers))
            first_of_source.setdefault((claim.end, claim.source), number)
            groups[place] = number
    for place in untagged:
        claim = claims[place]
        first = first_of_source.get((claim.end, claim.source))
        groups[place] = numbers.setdefault((claim.end, None, claim.source), len(numbers)) if first is None else first
    return groups


def _exponents(groups: Integers, persons: Integers) -> Floats:
    """The lambda of each claim: twenty readers of a page weigh as one, ten readings by one person as one person (C).

    With c the reports of a contributor on the end, a measurement has 1/c, a document the smaller of 1/readers and
    1/sqrt(c). Who gives one document several times is one reader with one report, whose lambda these claims share.
    Judgement.
    """
    documents = groups >= 0
    readings = groups * (int(persons.max(initial=0)) + 1) + persons
    _, first, reading, repeats = np.unique(
        readings[documents], return_index=True, return_inverse=True, return_counts=True
    )
    readers = np.bincount(groups[documents][first], minlength=1)
    reports = np.bincount(persons[~documents], minlength=len(persons))
    reports += np.bincount(persons[documents][first], minlength=len(persons))
    exponents = 1.0 / reports[persons]
    alone = np.minimum(1.0 / readers[groups[documents]], np.sqrt(exponents[documents]))
    exponents[documents] = alone / repeats[reading]
    return exponents


def _witnesses(ends: Integers, groups: Integers, persons: Integers, end_count: int) -> Integers:
    """How many witnesses each end has: contributors of a measurement, and documents (E)."""
    documents = groups >= 0
    _, first_of_document = np.unique(groups[documents], return_index=True)
    _, first_of_person = np.unique(persons[~documents], return_index=True)
    return np.bincount(ends[documents][first_of_document], minlength=end_count) + np.bincount(
        ends[~documents][first_of_person], minlength=end_count
    )
