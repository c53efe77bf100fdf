"""What a station is set to by keys: sounds and volume, language, units and numbers; undo, redo."""

from __future__ import annotations

import queue
from dataclasses import replace
from pathlib import Path

from hands import Hands
from heron_lane import WANTS, at_the_desk, things

from farmdesk.desk.sounds import Sounds
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of
from farmdesk.settings.preferences import load_preferences


def card(hands: Hands, act: str) -> str:
    """The code of a wall card."""
    return code_of(things(hands, "card", act=act, retired=0)[0].id)


def open_preferences(hands: Hands, tabs: int) -> None:
    """The preferences, so many tabs on."""
    hands.press("Ctrl+,", *["Ctrl+Tab"] * tabs)


def test_each_answer_sounds_its_own_at_the_volume_that_was_set(qtbot, tmp_path: Path) -> None:
    """Done, already and asks are three sounds; softer by keys, and none once they are off."""
    heard: queue.Queue[str] = queue.Queue()
    with at_the_desk(qtbot.waitUntil, tmp_path) as hands:
        acts = hands.desk.session.bench_acts
        acts.sounds.close()
        acts.sounds = Sounds(volume=70, player=lambda path: heard.put(path.name))
        open_preferences(hands, 4)
        hands.go("Volume of the answers' sounds")
        hands.press("Home", *["PgUp"] * 3)
        hands.save()
        bag, never = things(hands, "bag")[0], things(hands, "bag")[4]
        hands.scan(card(hands, cards.REST))
        for code in (code_of(bag.id), code_of(bag.id), code_of(never.id)):
            hands.scan(code)
        names = [heard.get(timeout=5) for _ in range(4)]
        assert names == ["done-30.wav", "done-30.wav", "already-30.wav", "ask-30.wav"]
        hands.press("Ctrl+F11")
        hands.scan(card(hands, cards.NO))
        hands.press("Ctrl+F11")
        hands.scan(card(hands, cards.NO))
        assert heard.get(timeout=5) == "refused-30.wav", "nothing was heard while they were off"


def test_numbers_and_units_are_not_the_languages(qtbot, tmp_path: Path) -> None:
    """Spanish words, German numbers, pounds: each stays as it is when another is changed."""
    wants = replace(WANTS, locale="en_US", mass_unit="kg")
    with at_the_desk(qtbot.waitUntil, tmp_path, wants=wants) as hands:
        open_preferences(hands, 0)
        hands.save({"Language": "Español"})
        open_preferences(hands, 1)
        hands.save({"Dates and numbers as in": "de_DE"})
        formats = hands.desk.session.context.formats
        assert (formats.locale, formats.mass_unit) == ("de_DE", "kg")
        assert formats.mass(1_234_000) == "1,234 kg"
        open_preferences(hands, 1)
        hands.save({"Weights in": "pounds"})
        formats = hands.desk.session.context.formats
        assert (formats.locale, formats.mass_unit) == ("de_DE", "lb")
        # A thousand pounds of 0.45359237 kg (NIST SP 811).
        assert formats.mass(453_592_370).startswith("1.000")
        kept = load_preferences(tmp_path / "preferences.json").preferences
        assert (kept.language, kept.locale, kept.mass_unit) == ("es", "de_DE", "lb")


def test_undo_and_redo_by_keys_in_places(qtbot, tmp_path: Path) -> None:
    """A crate added in the catalogue and a bag discarded in Fruiting go and come back."""
    with at_the_desk(qtbot.waitUntil, tmp_path) as hands:
        hands.press("Ctrl+9")
        hands.go("Kinds of thing")
        while not hands.focus.currentItem().text().startswith("Crates"):
            hands.press("Down")
        hands.press("Ctrl+N")
        hands.save({"Name": "C9", "Empty weight (tare)": "0.4 kg"})
        hands.scan(card(hands, cards.SPENT))
        hands.press("Ctrl+4")
        hands.scan(code_of(things(hands, "bag")[0].id))
        for keys, stage, crates in (
            (["Ctrl+Z"], "fruiting", 3),
            (["Ctrl+Z"], "fruiting", 2),
            (["Ctrl+Shift+Z"], "fruiting", 3),
            (["Ctrl+Shift+Z"], "spent", 3),
        ):
            hands.press(*keys)
            found = things(hands, "bag")[0].stage, len(things(hands, "crate"))
            assert found == (stage, crates), keys
