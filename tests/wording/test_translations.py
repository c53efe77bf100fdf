"""Every language is whole: each text translated, with the same places for facts."""

from __future__ import annotations

import re

import pytest
from babel.messages.catalog import Message
from make_languages import SPOKEN, gather, read_catalogue

_PLACE = re.compile(r"\{[^}]*\}")


def texts_of(message: Message) -> list[tuple[str, str]]:
    """(text, translation) pairs of a message, plural forms apart."""
    if isinstance(message.id, (list, tuple)):
        forms = message.string if isinstance(message.string, (list, tuple)) else [message.string]
        # A language may have more forms than English: all but the first go with the plural.
        ids = [message.id[0], *[message.id[1]] * (len(forms) - 1)]
        return list(zip(ids, forms, strict=True))
    return [(str(message.id), str(message.string))]


@pytest.mark.parametrize("language", SPOKEN)
def test_every_text_is_translated(language: str) -> None:
    catalogue = read_catalogue(language)
    missing = []
    for text in gather():
        key = text[0] if isinstance(text, tuple) else text
        message = catalogue.get(key)
        if message is None or not all(one for _, one in texts_of(message)):
            missing.append(key)
    assert not missing, "run tests/make_languages.py, then translate"


@pytest.mark.parametrize("language", SPOKEN)
def test_translations_keep_the_places_for_facts(language: str) -> None:
    wrong = [
        (text, said)
        for message in read_catalogue(language)
        if message.id
        for text, said in texts_of(message)
        if said and sorted(_PLACE.findall(text)) != sorted(_PLACE.findall(said))
    ]
    assert not wrong


@pytest.mark.parametrize("language", SPOKEN)
def test_parts_that_may_be_left_out_are_closed(language: str) -> None:
    wrong = [
        said
        for message in read_catalogue(language)
        for _, said in (texts_of(message) if message.id else ())
        if said.count("[") != said.count("]")
    ]
    assert not wrong
