"""Invented worlds of any size with the true answers beside: for tests of evidence, search, loading and speed.

    python -m tests.worlds SEED FRAMES FOLDER

writes one as a dataset. Everything in it is invented, and the same seed gives the same bytes on every machine.
"""

from tests.worlds.rates import ERRORS, Rates
from tests.worlds.truth import Truth
from tests.worlds.world import InventedModel, World
from tests.worlds.writing import dataset_of, write_world

__all__ = ["ERRORS", "InventedModel", "Rates", "Truth", "World", "dataset_of", "write_world"]
