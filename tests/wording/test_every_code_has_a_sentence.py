"""Each problem code that the program can raise has a sentence, and the sentence its facts."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import farmdesk
from farmdesk.wording.sentences import SENTENCES

PACKAGE = Path(farmdesk.__file__).parent


def raised() -> dict[str, list[set[str] | None]]:
    """Codes of `problem(...)` calls with the facts each call gives (None: by ** or unknown)."""
    found: dict[str, list[set[str] | None]] = {}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id != "problem" or not node.args:
                continue
            code = node.args[0]
            if isinstance(code, ast.Constant) and isinstance(code.value, str):
                names = {word.arg for word in node.keywords if word.arg}
                starred = any(word.arg is None for word in node.keywords)
                found.setdefault(code.value, []).append(None if starred else names)
    return found


def test_every_code_has_a_sentence() -> None:
    assert sorted(set(raised()) - set(SENTENCES)) == []


def test_every_sentence_gets_its_facts() -> None:
    missing = []
    for code, calls in raised().items():
        wanted = set(re.findall(r"{(\w+)", SENTENCES.get(code, "")))
        missing += [(code, sorted(wanted - given)) for given in calls if given is not None
                    and wanted - given]  # fmt: skip
    assert missing == []


def test_sentences_are_sentences() -> None:
    for code, text in SENTENCES.items():
        if code.startswith(("meaning_", "more_")):
            continue  # parts of a line, no sentences
        assert text.strip() == text, code
        assert text[0].isupper() or text[0] in "{“", code
        assert text[-1] in ".?!…}”", code
