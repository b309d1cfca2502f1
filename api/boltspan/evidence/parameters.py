"""The numbers of the model: read from parameters.toml, checked once, and named by `model_version`."""

import hashlib
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any, NamedTuple, TypeVar

from boltspan.evidence.parameter_sections import (
    Accepts,
    Bolt,
    Decision,
    Fitted,
    Instrument,
    MeasurementValue,
    Mount,
    Offset,
    Pair,
    Prior,
    Reading,
    Reliability,
    Sizes,
    Slip,
    Source,
    Split,
    Width,
)
from boltspan.evidence.vocabulary import SOURCES, TOOLS

KINDS = ("judgement", "common practice", "standard")
VERSION_DIGITS = 12

Section = TypeVar("Section")


class ParameterError(ValueError):
    """A parameter file that the model cannot use; the message names the parameter."""


class Note(NamedTuple):
    """One parameter as it stands in the file, for people: dotted name, value, kind of origin, reason."""

    name: str
    value: Any
    kind: str
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Parameters:
    """All numbers of the model, with the version that names them."""

    model_version: str
    sources: Mapping[str, Source]
    instruments: Mapping[str, Instrument]
    mount: Mount
    fitted: Fitted
    slip: Slip
    reading: Reading
    bolt: Bolt
    width: Width
    sizes: Sizes
    prior: Prior
    reliability: Reliability
    offset: Offset
    pair: Pair
    split: Split
    decision: Decision
    measurement_value: MeasurementValue
    notes: tuple[Note, ...]


def _frozen(value: Any) -> Any:
    return tuple(_frozen(item) for item in value) if isinstance(value, list) else value


def _read_leaf(name: str, leaf: Any, notes: list[Note]) -> Any:
    if not isinstance(leaf, dict) or set(leaf) != {"value", "kind", "reason"}:
        raise ParameterError(f"{name}: a parameter is a table of value, kind and reason")
    if leaf["kind"] not in KINDS:
        raise ParameterError(f"{name}: kind is {leaf['kind']!r}; accepted: {', '.join(KINDS)}")
    if not isinstance(leaf["reason"], str) or not leaf["reason"].strip():
        raise ParameterError(f"{name}: the reason is missing")
    value = _frozen(leaf["value"])
    notes.append(Note(name, value, leaf["kind"], leaf["reason"]))
    return value


def _read_section(kind: type[Section], name: str, table: Any, notes: list[Note]) -> Section:
    wanted = {item.name: item for item in fields(kind)}  # type: ignore[arg-type]
    if not isinstance(table, dict) or set(table) != set(wanted):
        got = sorted(table) if isinstance(table, dict) else table
        raise ParameterError(f"{name}: has {got}; accepted: {sorted(wanted)}")
    values = {}
    for key, item in wanted.items():
        value = _read_leaf(f"{name}.{key}", table[key], notes)
        accepts: Accepts = item.metadata["accepts"]
        if not accepts.holds(value):
            raise ParameterError(f"{name}.{key}: is {value!r}; accepted: {accepts.words}")
        values[key] = value
    return kind(**values)


def _read_sections(
    kind: type[Section], name: str, tables: Any, keys: tuple[str, ...], notes: list[Note]
) -> dict[str, Section]:
    if not isinstance(tables, dict) or set(tables) != set(keys):
        raise ParameterError(f"{name}: accepted: {', '.join(keys)}")
    return {key: _read_section(kind, f"{name}.{key}", tables[key], notes) for key in keys}


def _check_together(read: Parameters) -> None:
    bolts = len(read.bolt.nominal_mm)
    chosen_mounts = [getattr(read.prior, item.name) for item in fields(read.prior) if item.name.startswith("mount_")]
    checks = {
        "bolt.nominal_mm: ascending": list(read.bolt.nominal_mm) == sorted(set(read.bolt.nominal_mm)),
        "bolt.crest_limits_mm: one pair for each bolt": len(read.bolt.crest_limits_mm) == bolts,
        "prior.bolt_pseudo: one number over 0 for each bolt": len(read.prior.bolt_pseudo) == bolts
        and min(read.prior.bolt_pseudo) > 0,
        "prior.mount_*: shares that add up to 1": math.isclose(sum(chosen_mounts) - read.prior.mount_pseudo, 1.0),
        "prior.width_range_mm: ascending": read.prior.width_range_mm[0] < read.prior.width_range_mm[1],
        "width.sd_mm: over 0": min(read.width.sd_mm) > 0,
        "fitted: exact and smaller add up to less than 1": read.fitted.exact + read.fitted.smaller < 1,
        "reading.wrong_bores: shares add up to less than 1": sum(share for _, share in read.reading.wrong_bores) < 1,
        "reliability: unsound_least under unsound_most": read.reliability.unsound_least < read.reliability.unsound_most,
    }
    for words, holds in checks.items():
        if not holds:
            raise ParameterError(words)


def read_parameters(content: bytes) -> Parameters:
    """The parameters of a TOML file's bytes.

    `model_version` is the file's `version`, a plus sign and the first 12 hex digits of the SHA-256 of the bytes, so
    that a change of any number (or of a reason) changes it.
    ParameterError: not TOML, an unknown or missing parameter, a value outside what the message says.
    """
    try:
        tables = tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ParameterError(f"not a TOML file: {error}") from error
    version = tables.pop("version", None)
    if not isinstance(version, str) or not version:
        raise ParameterError("version: a text such as 1.0.0 is needed")
    sections: dict[str, type[Any]] = {
        item.name: item.type
        for item in fields(Parameters)
        if isinstance(item.type, type) and hasattr(item.type, "__dataclass_fields__")
    }
    accepted = {"sources", "instruments", *sections}
    if set(tables) != accepted:
        raise ParameterError(f"the file has {sorted(tables)}; accepted: {sorted(accepted)}")
    notes: list[Note] = []
    read = Parameters(
        model_version=f"{version}+{hashlib.sha256(content).hexdigest()[:VERSION_DIGITS]}",
        sources=_read_sections(Source, "sources", tables["sources"], SOURCES, notes),
        instruments=_read_sections(Instrument, "instruments", tables["instruments"], TOOLS, notes),
        **{name: _read_section(kind, name, tables[name], notes) for name, kind in sections.items()},
        notes=tuple(notes),
    )
    _check_together(read)
    return read


@cache
def load_parameters() -> Parameters:
    """The parameters shipped with the model, read and checked at the first call.

    ParameterError: the shipped file cannot be used.
    """
    return read_parameters(resources.files("boltspan.evidence").joinpath("parameters.toml").read_bytes())
