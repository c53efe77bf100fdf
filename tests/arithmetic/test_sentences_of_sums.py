"""Every reason for which a sum is refused has a sentence, and its facts fill it."""

import ast
import re
from pathlib import Path

import pytest

from farmdesk import arithmetic
from farmdesk.wording.sentences import SENTENCES

SOURCES = sorted(Path(arithmetic.__file__).parent.glob("*.py"))
CALLS = [
    (call.args[0].value, frozenset(fact.arg for fact in call.keywords))
    for source in SOURCES
    for call in ast.walk(ast.parse(source.read_text("utf-8")))
    if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "problem"
]


def test_the_search_finds_the_reasons():
    assert len(CALLS) > 20


@pytest.mark.parametrize(("code", "facts"), CALLS)
def test_a_reason_has_a_sentence_that_its_facts_fill(code, facts):
    assert set(re.findall(r"{(\w+)", SENTENCES[code])) <= facts
