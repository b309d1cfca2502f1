"""Play and noise at a shock's mount: is a part worn, or the wrong one? Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Symptom:
    """One thing to feel or see, what tells a worn part from a wrong one, and what to do then.

    ``at`` is where it is felt, a key of PLACES.
    """

    at: str
    felt: str
    worn: str
    wrong: str
    then: str


PLACES: Final = {
    "bushing": "At the bushing",
    "sleeve": "At the sleeve",
    "spacers": "At spacers and tabs",
    "bolt": "At the bolt",
}
SYMPTOMS: Final = (
    Symptom(
        "bushing",
        "A knock when the rear is lifted and let down; the sleeve can be rocked in the bushing, across the bolt.",
        "The bushing’s sliding layer is gone in places: bare metal shows, mostly on the loaded side.",
        "Bushing and sleeve are new and still loose: they are of different sizes.",
        "Measure sleeve and bushing. Renew the bushing, and the sleeve with it when it shows a groove.",
    ),
    Symptom(
        "bushing",
        "A metal bushing turns in the eyelet, or goes in by hand.",
        "The eyelet’s bore has become wide or oval, as after many bushings.",
        "The bushing is for a smaller bore: 15 in a 15.08 eyelet, for example.",
        "Measure the bore in two directions. An oval or widened eyelet is a matter for the shock’s maker: fit nothing.",
    ),
    Symptom(
        "bushing",
        "The bushing will not start square, or needs far more force than the last one.",
        "A burr on the eyelet’s edge, or remains of the old bushing in the bore.",
        "The bushing is for a larger bore.",
        "Stop pressing. Clean and measure the bore; never hammer.",
    ),
    Symptom(
        "sleeve",
        "The sleeve turns hard or in jerks.",
        "Dirt or rust under the O-rings, or a dent from pliers.",
        "The bushing was pressed in askew, or bushing and sleeve are of different sizes.",
        "Take it apart and clean it. If a clean sleeve still binds in the bushing, renew both.",
    ),
    Symptom(
        "sleeve",
        "A new bushing has play again after a few rides.",
        "The old sleeve has a groove and wears the new bushing down.",
        "One spacer is longer than the other, or one is missing: the load comes from the side.",
        "Renew sleeve and bushing together; check that the spacers are equal and all O-rings are there.",
    ),
    Symptom(
        "spacers",
        "The shock moves sideways between the tabs with the bolt tight.",
        "The spacers’ faces or the sleeve’s ends are worn down.",
        "The hardware is narrower than the opening, or a washer was left out.",
        "Measure the opening and the width over both spacers. More than 0.3 mm apart: look up the size that this end "
        "takes. Nothing wider than that size, or than the opening, goes in.",
    ),
    Symptom(
        "spacers",
        "The hardware has to be pushed in, or the tabs spring apart when the bolt comes out.",
        "A burr or dent on a tab or spacer.",
        "The hardware is too wide.",
        "Take it out. Never force it in and never spread the frame: a tab cracks later.",
    ),
    Symptom(
        "spacers",
        "A creak under load, and no play anywhere.",
        "Dry or dirty faces between spacer and tab, or a cut O-ring.",
        "An O-ring of another size that is squeezed by the spacer.",
        "Clean all faces; renew the O-rings. If it stays, look for a crack in eyelet and tabs.",
    ),
    Symptom(
        "bolt",
        "Bushing and sleeve are tight together, yet both move on the bolt.",
        "The bolt’s shank is worn thin or bent, or the frame’s hole is oval.",
        "The sleeve is for a thicker bolt: 10 instead of 8, for example.",
        "Measure shank and sleeve bore. A worn bolt comes from the frame’s maker; with an oval hole, ask it first.",
    ),
    Symptom(
        "bolt",
        "The bolt comes loose again after every ride.",
        "Worn threads, or thread-lock that was used before.",
        "A spacer is missing, so that the bolt clamps nothing; or another bolt than the maker’s.",
        "Check the order of parts. Tighten by the frame maker’s value, with thread-lock as it says. Never ride it "
        "loose.",
    ),
)
