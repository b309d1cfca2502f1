"""The parameter file: read once, named by its bytes, and refused when a number cannot be meant."""

from __future__ import annotations

import hashlib
from importlib import resources

import pytest

from boltspan.evidence import ParameterError, load_parameters
from boltspan.evidence.parameters import read_parameters

SHIPPED = resources.files("boltspan.evidence").joinpath("parameters.toml").read_bytes()


def changed(old: str, new: str) -> bytes:
    text = SHIPPED.decode("utf-8")
    assert text.count(old) == 1
    return text.replace(old, new).encode("utf-8")


def test_the_version_names_the_bytes() -> None:
    assert load_parameters().model_version == "1.1.0+" + hashlib.sha256(SHIPPED).hexdigest()[:12]
    assert load_parameters() is load_parameters()


def test_any_change_of_a_number_changes_the_version() -> None:
    other = read_parameters(changed("accept = { value = 0.995,", "accept = { value = 0.99,"))
    assert other.decision.accept == 0.99
    assert other.model_version != load_parameters().model_version


def test_every_parameter_says_why() -> None:
    notes = {note.name: note for note in load_parameters().notes}
    assert notes["decision.accept"].value == 0.995
    assert notes["bolt.crest_limits_mm"].kind == "standard"
    assert all(note.reason for note in notes.values())
    assert len(notes) > 90


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ("accept = { value = 0.995,", "accept = { value = 1.995,", "decision.accept"),
        ("accept = { value = 0.995,", 'accept = { value = "much",', "decision.accept"),
        ("accept = { value = 0.995,", "accept = { value = nan,", "decision.accept"),
        ("rounds = { value = 6,", "rounds = { value = 6.5,", "reliability.rounds"),
        ("rounds = { value = 6,", "rounds = { value = true,", "reliability.rounds"),
        ("feature_shank = { value = [0.10,", "feature_shank = { value = [0.20,", "bolt.feature_shank"),
        ("nominal_mm = { value = [6.0, 8.0,", "nominal_mm = { value = [8.0, 6.0,", "bolt.nominal_mm"),
        ("[6.0, 8.0, 10.0, 12.0, 12.7]", "[6.0, 8.0, 10.0, 12.0]", "bolt.crest_limits_mm"),
        ("mount_hardware = { value = 0.60,", "mount_hardware = { value = 0.50,", "prior.mount_"),
        ("unsound_most = { value = 0.9,", "unsound_most = { value = 0.001,", "reliability"),
        ('"a wrong acceptance costs 200 reviews"', '" "', "decision.accept"),
        ('kind = "standard"', 'kind = "guess"', "bolt.crest_limits_mm"),
        ("\nalike = {", "\nlike = {", "pair"),
        ("[pair]\n", "[pairs]\n", "pair"),
        ("[sources.manual]\n", "[sources.book]\n", "sources"),
        ('version = "1.1.0"\n', "\n", "version"),
        ("[pair]\n", "[pair\n", "TOML"),
    ],
)
def test_a_file_that_cannot_be_meant_is_refused(old: str, new: str, named: str) -> None:
    with pytest.raises(ParameterError, match=named):
        read_parameters(changed(old, new))


def test_bytes_that_are_no_text_are_refused() -> None:
    with pytest.raises(ParameterError, match="TOML"):
        read_parameters(b"\xff")
