"""What the evidence says: many claims about one mount end become probabilities, a decision and its reasons."""

from boltspan.evidence.calibration import calibrate
from boltspan.evidence.intake import EvidenceInputError
from boltspan.evidence.learning import Portion, learn
from boltspan.evidence.model import Model
from boltspan.evidence.parameters import ParameterError, Parameters, load_parameters
from boltspan.evidence.resolution import Resolution, prepare_model, resolve, resolve_batch, resolve_frame
from boltspan.evidence.results import Shortlist
from boltspan.evidence.snapshot import Record, Snapshot
from boltspan.evidence.summary import ContributorWidth, WidthSummary, caliper_widths, summarise_widths

__all__ = [
    "ContributorWidth",
    "EvidenceInputError",
    "Model",
    "ParameterError",
    "Parameters",
    "Portion",
    "Record",
    "Resolution",
    "Shortlist",
    "Snapshot",
    "WidthSummary",
    "calibrate",
    "caliper_widths",
    "learn",
    "load_parameters",
    "prepare_model",
    "resolve",
    "resolve_batch",
    "resolve_frame",
    "summarise_widths",
]
