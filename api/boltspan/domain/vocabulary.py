"""Every code that travels in an answer, with its text in plain words."""

from __future__ import annotations

from typing import Final

from boltspan.domain.acceptance import HELD
from boltspan.domain.bench_cautions import BENCH_CAUTIONS
from boltspan.domain.bench_verdicts import BORE_VERDICTS, CHOSEN_BY, FITS, SWAP_ACTIONS
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.charts.outcomes import OUTCOMES as CHART_OUTCOMES
from boltspan.domain.charts.outcomes import REASONS as CHART_REASONS
from boltspan.domain.claim_hints import HINTS
from boltspan.domain.claim_states import SHOWN_STATES
from boltspan.domain.contributors import LIMIT_TEXTS
from boltspan.domain.fitsheet.kits import BUSHINGS, O_RINGS, SIDES, SLEEVES
from boltspan.domain.fitsheet.texts import QUESTIONS
from boltspan.domain.fitsheet.told import KINDS as FIT_SHEET_KINDS
from boltspan.domain.mistakes import ADVICE as MISTAKES
from boltspan.domain.refusals import REFUSED
from boltspan.domain.ruling_reasons import FLAG_REASONS, REFUSAL_REASONS
from boltspan.domain.swaps import REASONS as SWAP_REASONS
from boltspan.domain.terms import TERMS

STANDINGS: Final = {
    "settled": "A maintainer or the published rule has decided.",
    "provisional": "The evidence agrees, but nobody has decided yet, or the year lies beyond what it speaks of.",
    "disputed": "Sources contradict each other. No value is given until a maintainer has decided.",
    "unknown": "There is not enough evidence for an answer.",
    "withheld": "A maintainer has put this end on hold.",
}
ADVICE: Final = {
    "sell": "The value may be relied on. Sell only what it names: nothing for an end that needs none.",
    "ask_first": "Measure, or ask the frame's maker, before selling.",
    "do_not_sell": "Do not sell anything for this end on this answer.",
}
SUPPLY: Final = {
    "stock": "The part can come from a shop's stock.",
    "none_needed": "No mounting hardware is needed at this end.",
    "frame_maker": "Only the frame's maker sells the part. Refer the customer; do not sell a generic one.",
}
MOUNTS: Final = {
    "hardware": "Bushing, sleeve and spacers, named by bolt and width.",
    "bearing": "A bearing in the eyelet.",
    "trunnion": "The shock is bolted straight into the frame; no eyelet, no hardware.",
    "open_eyelet": "The frame's own bolt goes through the eyelet; no hardware.",
    "proprietary": "Hardware that only the frame's maker sells.",
}
SOURCES: Final = {
    "spec_page": "The maker's specification page.",
    "exploded_diagram": "The maker's exploded diagram.",
    "manual": "The maker's manual.",
    "maker_reply": "A reply of the maker, by phone or mail.",
    "retailer_chart": "A shop's own chart.",
    "measured": "Somebody measured it.",
    "fitted": "Somebody fitted this size and it went in.",
}
RECORDS: Final = {
    "frame": "A frame that answers for itself.",
    "shock": "A shock that answers for itself.",
    "merged": "The record was a double of another one, which answers now.",
    "divided": "The record was divided by a running change; the parts answer now.",
    "withdrawn": "The record was wrong as a whole and answers for nothing.",
}
RULINGS: Final = {
    "settle": "The value is decided.",
    "leave_open": "Looked at; the evidence does not decide it.",
    "refuse_claims": "Claims that are ruled out.",
    "withhold": "The end is on hold; nothing is answered.",
    "reverse": "An earlier decision is undone.",
}
SHOCK_MOUNTS: Final = {
    "eyelet": "An eyelet that takes a bushing, sleeve and spacers.",
    "trunnion": "Bolted straight into the frame; no eyelet at this end.",
    "bearing_eyelet": "An eyelet with bearings in it.",
    "open_eyelet": "An eyelet that takes the frame's own bolt.",
}
BEARINGS: Final = {
    "swappable": "The bearings can be taken out and other hardware fitted.",
    "fixed": "The bearings cannot be taken out; no other hardware can be fitted.",
}
QUALIFIERS: Final = {
    "serial": "A range of serial numbers.",
    "build_date": "A range of build dates.",
    "frame_size": "A frame size.",
    "wheel_size": "A wheel size.",
    "material": "A frame material.",
}

ROLES: Final = {
    "contributor": "Sends claims, proposals of frames and photos.",
    "retailer": "Asks for answers in the shop's own articles.",
    "maintainer": "Reviews claims, decides, edits records and makes releases.",
    "operator": "Runs the service: accounts and imports, and all that a maintainer may.",
}

VOCABULARY: Final = {
    "cautions": CAUTIONS,
    "standings": STANDINGS,
    "advice": ADVICE,
    "supply": SUPPLY,
    "mounts": MOUNTS,
    "shock_mounts": SHOCK_MOUNTS,
    "bearings": BEARINGS,
    "sources": SOURCES,
    "records": RECORDS,
    "rulings": RULINGS,
    "claim_states": SHOWN_STATES,
    "refusal_reasons": REFUSAL_REASONS,
    "flag_reasons": FLAG_REASONS,
    "claim_hints": HINTS,
    "rule_held": HELD,
    "rule_limits": LIMIT_TEXTS,
    "qualifiers": QUALIFIERS,
    "mistakes": MISTAKES,
    "bench_cautions": BENCH_CAUTIONS,
    "bench_refusals": REFUSED,
    "stack_fits": FITS,
    "size_choices": CHOSEN_BY,
    "bore_verdicts": BORE_VERDICTS,
    "swap_actions": SWAP_ACTIONS,
    "swap_reasons": SWAP_REASONS,
    "roles": ROLES,
    "terms": TERMS,
    **FIT_SHEET_KINDS,
    "fit_questions": QUESTIONS,
    "kit_bushings": BUSHINGS,
    "kit_sleeves": SLEEVES,
    "kit_o_rings": O_RINGS,
    "kit_sides": SIDES,
    "chart_outcomes": CHART_OUTCOMES,
    "chart_reasons": CHART_REASONS,
}
