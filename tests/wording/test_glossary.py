"""The glossary explains what pages show, is found by any of its words, and repeats nothing."""

from __future__ import annotations

import pytest

from farmdesk.wording.glossary import GLOSSARY, find_terms


@pytest.mark.parametrize(
    ("words", "title"),
    [
        ("flush", "Flush"),
        ("BIOLOGICAL efficiency", "Biological efficiency (BE)"),
        ("denominator", "Biological efficiency (BE)"),
        ("fefo", "FIFO and earliest shelf date first"),
        ("p90", "Band (80 %)"),
        ("short weight", "MAV (maximum allowable variation)"),
        ("sell-by", "Sell-by"),
    ],
)
def test_a_term_is_found_by_its_name_and_by_other_words(words: str, title: str) -> None:
    assert find_terms(words)[0].title == title


def test_no_words_find_every_term_in_order() -> None:
    titles = [one.title for one in find_terms("")]
    assert titles == sorted(titles, key=str.casefold)
    assert len(set(titles)) == len(GLOSSARY)


def test_what_is_no_term_finds_none() -> None:
    assert find_terms("zeppelin") == []


def test_every_text_is_a_sentence() -> None:
    for one in GLOSSARY:
        assert one.text.endswith("."), one.title
