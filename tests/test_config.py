"""Settings come from the environment; what is wrong is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from boltspan.config import Config, unknown_settings
from boltspan.domain.errors import InvalidInput


def test_none_is_needed() -> None:
    config = Config.from_environment({})
    assert (config.bind, config.port, config.rate_limits) == ("127.0.0.1", 8000, True)
    assert config.url.startswith("sqlite:////")
    assert config.url.endswith("/.boltspan/boltspan.sqlite")


def test_every_kind_is_read() -> None:
    config = Config.from_environment(
        {
            "BOLTSPAN_PORT": "81",
            "BOLTSPAN_DATA": "/x",
            "BOLTSPAN_RATE_LIMITS": "off",
            "BOLTSPAN_DATABASE_URL": "postgresql+psycopg://h/d",
        }
    )
    assert (config.port, config.data, config.rate_limits) == (81, Path("/x"), False)
    assert config.url == "postgresql+psycopg://h/d"


@pytest.mark.parametrize(
    ("name", "text"),
    [("BOLTSPAN_PORT", "http"), ("BOLTSPAN_PORT", "-1"), ("BOLTSPAN_PORT", "٨"), ("BOLTSPAN_RATE_LIMITS", "yes")],
)
def test_a_value_that_is_none_is_refused_and_named(name: str, text: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Config.from_environment({name: text})
    problem = caught.value.problems[0]
    assert (problem.pointer, problem.got) == (f"/{name}", text)
    assert problem.accepted


def test_a_misspelt_setting_is_noticed() -> None:
    assert unknown_settings({"BOLTSPAN_PROT": "8000", "BOLTSPAN_PORT": "8000", "HOME": "/"}) == ["BOLTSPAN_PROT"]
