"""A database in which strangers have written whatever they can think of, and more than the API lets them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from boltspan.domain.claim_states import Question
from boltspan.domain.frames import Make, Model, Qualifier, Years
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.values import value_from
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import StoredShock, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.domain.builders import measured, page
from tests.http.world import F1, F2, Site
from tests.http.world import fill as fill_world
from tests.services.conftest import StandingClock

SHOCK = "s-0000000001"
VALUE = {"mount": "hardware", "bolt_mm": 8, "width_mm": 30}
SIZE = {"mount": "hardware", "bolt_mm": 8, "width_mm": 24}


def texts(elsewhere: str) -> list[str]:
    """Return texts that would run, fetch from ``elsewhere``, hide, turn round or overflow if they were not text."""
    return [
        f'"><script>window.ran=1;fetch("{elsewhere}")</script><img src={elsewhere} onerror=window.ran=1>',
        f"</textarea></title></svg><style>@import url({elsewhere});body{{display:none}}</style>",
        f"' onmouseover='window.ran=1' autofocus onfocus='window.ran=1' style='background:url({elsewhere})",
        f'<meta http-equiv=refresh content="0;url={elsewhere}"><base href={elsewhere}><iframe src={elsewhere}>',
        "javascript:window.ran=1//<svg/onload=window.ran=1>",
        "data:text/html,<script>window.ran=1</script>",
        "\u202e\u2066turned round\u2069\u200f {{ 7 * 7 }} {% raw %} ${7*7} &lt;b&gt; &#60;",
        "W" * 300,
    ]


class Planter:
    """Hands out the texts in turn, each of them many times over."""

    def __init__(self, elsewhere: str) -> None:
        self.elsewhere, self.given = elsewhere, 0

    def text(self, most: int = 500) -> str:
        """Return the next text, of at most so many characters."""
        found = texts(self.elsewhere)
        self.given += 1
        return found[self.given % len(found)][:most]

    def taken(self) -> str:
        """Return the next text that the API takes: one without characters that cannot be seen."""
        found = self.text()
        return found if found.isprintable() else self.text()


def fill(folder: Path, elsewhere: str) -> dict[str, Any]:
    """Fill a database and return the people's tokens and what the pages about it are called."""
    engine = make_engine(f"sqlite:///{folder / 'boltspan.db'}")
    migrate(engine)
    storage = SqlStorage(engine, SystemClock())
    clock = StandingClock()
    clock.instant = max(clock.instant, SystemClock().now())
    site = Site(storage, clock, fill_world(storage, clock), folder)
    planter = Planter(elsewhere)
    ann, ben, mia = (str(site.get("/v1/account", who=who).json["id"]) for who in ("ann", "ben", "mia"))
    with storage.writing() as uow:
        plant_names(uow, planter)
        plant_people(uow, planter, (ann, ben, mia))
        plant_claims(uow, planter, ann, ben)
        republish(uow, [F1, F2])
    sent = site.post("/v1/claims", sent_claim(planter), who="ann")
    assert sent.status_code == 201, sent.text
    claim = sent.json["claim"]["id"]
    asked = site.post(f"/v1/claims/{claim}/questions", {"question": planter.taken()}, who="mia")
    assert asked.status_code == 201, asked.text
    with storage.writing() as uow:
        uow.statements.put_question(
            Question("k-0000000099", claim, mia, "2026-06-01", planter.text(), "2026-06-01", planter.text())
        )
    for subject in ("upper", "lower", None):
        words = {"frame": F1, "reason": "unsafe", "words": planter.taken()} | ({"subject": subject} if subject else {})
        assert site.post("/v1/flags", words).status_code == 201
    rule(site, planter)
    proposal = {
        "make": {"name": "Tarnvale"}, "model": {"name": "Skerry " + "w" * 60}, "years": {"from": 2030},
        "ends": ["upper", "lower"],
    }  # fmt: skip
    assert site.post("/v1/frames", proposal, who="ben").status_code == 201
    cases = site.get("/v1/reviews?limit=200", who="mia").json["reviews"]
    engine.dispose()
    return {
        "tokens": site.tokens,
        "claim": claim,
        "people": [ann, ben],
        "documents": [text for text in texts(elsewhere) if text[:6] != "javasc"],
        "cases": [(case["id"], case["subject"]) for case in cases],
    }


def plant_names(uow: UnitOfWork, planter: Planter) -> None:
    """Give makes, models, qualifiers and a shock names that no API would take."""
    uow.catalogue.put_make(Make("tarnvale", "Tarnvale" + planter.text()))
    uow.catalogue.put_model(Model("tarnvale", "skerry", "Skerry" + planter.text(), (planter.text(), planter.text())))
    uow.catalogue.put_make(Make("quillhope", "Quillhope" + "W" * 200))
    for number in (5, 6):
        stored = uow.catalogue.frame(f"f-{number:010d}")
        assert stored is not None
        said = Qualifier("material", planter.text(), equals=planter.text())
        uow.catalogue.put_frame(replace(stored, frame=replace(stored.frame, qualifier=said)))
    gone = uow.catalogue.frame("f-0000000007")
    assert gone is not None
    uow.catalogue.put_frame(replace(gone, frame=replace(gone.frame, why=planter.text())))
    uow.shocks.put_model(ShockModel("tarnvale", "brindle", "Brindle" + planter.text()))
    uow.shocks.put_shock(StoredShock(Shock(SHOCK, "tarnvale", "brindle", "shock", Years(2021))))


def plant_people(uow: UnitOfWork, planter: Planter, people: tuple[str, ...]) -> None:
    """Give people handles that no API would take."""
    for person in people:
        account = uow.accounts.account(person)
        assert account is not None
        uow.accounts.put_account(replace(account, handle=planter.text() + person))


def plant_claims(uow: UnitOfWork, planter: Planter, ann: str, ben: str) -> None:
    """Let every text stand as quote, document, page and address of a claim on both ends."""
    claims = []
    for number, text in enumerate(texts(planter.elsewhere)):
        for subject, by in (("upper", ann), ("lower", ben)):
            made = page(700 + 2 * number + (subject == "lower"), VALUE if number % 2 else SIZE, subject=subject, by=by)
            source = replace(made.source, quote=text, document=text, page=text[:60], url=text)
            claims.append(replace(made, state="submitted", source=source, sequence=uow.events.last()))
    claims.append(measured(790, bolt=("sleeve_bore", "12.7"), by=ben, subject="lower", state="submitted"))
    size = value_from("shock_size", {"eye_to_eye_mm": 210, "stroke_mm": 55})
    odd = replace(claims[0], id="c-0000000799", subject="shock_size", value=size)
    uow.statements.add_claims([*claims, odd])


def sent_claim(planter: Planter) -> dict[str, Any]:
    """Return a claim that the API takes, with what it lets through of these texts."""
    source = {
        "kind": "manual", "document": texts(planter.elsewhere)[0], "page": "<b>1</b>", "seen_on": "2026-05-01",
        "quote": texts(planter.elsewhere)[1], "url": f"{planter.elsewhere}?a=b",
    }  # fmt: skip
    return {"frame": F1, "subject": "upper", "value": VALUE, "source": source}


def rule(site: Site, planter: Planter) -> None:
    """Put an end on hold, open the cases of others, and say why in these words."""
    for subject in ("shock_size", "lower", "upper"):
        opened = site.post("/v1/reviews", {"frame": F1, "subject": subject, "why": planter.taken()}, who="mia")
        assert opened.status_code == 201, opened.text
    case, tag = site.case("lower")
    ruling = {"ruling": "withhold", "why": texts(planter.elsewhere)[0]}
    assert site.post(f"/v1/reviews/{case}/decisions", ruling, who="max", match=tag).status_code == 201
    opened = site.post("/v1/reviews", {"shock": SHOCK, "subject": "body", "why": planter.taken()}, who="mia")
    assert opened.status_code == 201, opened.text
