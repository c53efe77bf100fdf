from __future__ import annotations

import pytest

from farmdesk.wording.language import choose_language, later, spoken_language, tr, tr_count


@pytest.fixture(autouse=True)
def english_again():
    yield
    choose_language("en")


def test_english_is_the_key_itself() -> None:
    choose_language("en")
    assert tr("Open pick {name}") == later("Open pick {name}") == "Open pick {name}"
    assert [tr_count(n, "{n} bag", "{n} bags") for n in (0, 1, 2)] == [
        "{n} bags", "{n} bag", "{n} bags",
    ]  # fmt: skip


def test_an_unknown_language_leaves_english() -> None:
    choose_language("xx")
    assert spoken_language() == "en"
