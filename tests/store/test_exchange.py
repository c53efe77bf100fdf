"""The farm goes out as CSV and the same farm comes back, or nothing does."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from databases import fresh_farm
from small_farm import begin_small

from farmdesk.actions.base import Act, perform
from farmdesk.actions.exchange import export_farm, import_farm
from farmdesk.actions.notes import write_note
from farmdesk.actions.undo import undo_last
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Customer, Room
from farmdesk.domain.notes import Photo, photo_name
from farmdesk.errors import NotWritten, Refused
from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import FarmStore

HOSTILE = '=HYPERLINK("x"), "quoted"\nnew line, emoji 🍄, مزرعة, \'apostrophe'


PICTURE = b"the bytes of a picture"


def files_of(folder: Path) -> dict[str, bytes]:
    paths = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def lived_in(store: FarmStore) -> None:
    farm = begin_small(store)
    perform(store, lambda act: act.change("bag_moved", act.need(Bag, farm.bags[0]), room=2))
    perform(store, undo_last)
    photo = Photo(photo_name(PICTURE), PICTURE)
    perform(store, lambda act: write_note(act, farm.bags[0], "green", photo))
    perform(store, undo_last)
    perform(store, lambda act: act.make("made", Customer(act.next_id("customer"), HOSTILE)))
    perform(store, lambda act: act.make("made", Customer(act.next_id("customer"), "'=1+1")))
    perform(store, lambda act: act.make("made", Customer(act.next_id("customer"), "-5 and @home")))


def test_out_and_in_again_is_equal_to_the_byte(store: FarmStore, tmp_path: Path) -> None:
    lived_in(store)
    export_farm(store, tmp_path / "one")
    for kind in ("sqlite", "postgres"):
        with fresh_farm(kind, tmp_path) as again:
            import_farm(again, tmp_path / "one")
            assert check_farm(again).is_clean
            export_farm(again, tmp_path / kind)
        assert files_of(tmp_path / "one") == files_of(tmp_path / kind)
    assert files_of(tmp_path / "one")[f"photos/{photo_name(PICTURE)}"] == PICTURE


@pytest.mark.parametrize("wrong", ["missing", "changed"])
def test_a_photo_that_is_not_what_it_was_is_named(tmp_path: Path, wrong: str) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
    picture = tmp_path / "out" / "photos" / photo_name(PICTURE)
    picture.unlink() if wrong == "missing" else picture.write_bytes(b"another")
    with fresh_farm("sqlite", tmp_path) as again:
        with pytest.raises(Refused) as refused:
            import_farm(again, tmp_path / "out")
        assert [one.code for one in refused.value.problems] == [f"import_photo_{wrong}"]
        assert picture.name in str(refused.value.problems[0].facts["file"])
        with again.reading() as reading:
            assert reading.last_number() == 0


def test_an_export_over_an_old_one_mends_a_photo_and_leaves_whole_ones(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
        picture = tmp_path / "out" / "photos" / photo_name(PICTURE)
        before = picture.stat()
        export_farm(store, tmp_path / "out")
        assert picture.stat() == before
        picture.write_bytes(b"cut off")
        export_farm(store, tmp_path / "out")
        assert picture.read_bytes() == PICTURE


def test_no_cell_begins_as_a_formula(store: FarmStore, tmp_path: Path) -> None:
    lived_in(store)
    export_farm(store, tmp_path / "out")
    text = (tmp_path / "out" / "customer.csv").read_text(encoding="utf-8")
    assert "'=HYPERLINK" in text
    assert ",=" not in text
    assert '"=' not in text


def test_new_ids_go_on_after_an_import(store: FarmStore, tmp_path: Path) -> None:
    lived_in(store)
    perform(store, lambda act: act.make("made", Room(act.next_id("room"), "Gone", "lab", 1)))
    perform(store, undo_last)
    export_farm(store, tmp_path / "out")
    with fresh_farm("sqlite", tmp_path) as again:
        import_farm(again, tmp_path / "out")

        def next_room(act: Act) -> int:
            return act.next_id("room")

        assert perform(again, next_room).result == perform(store, next_room).result


def break_row(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8", newline="\n")


@pytest.mark.parametrize(
    ("name", "old", "new", "code"),
    [
        ("room.csv", "capacity", "size", "import_wrong_columns"),
        ("room.csv", "Mist,fruiting,100", "Mist,fruiting,many", "import_bad_row"),
        ("room.csv", "Mist,fruiting,100", "Mist,fruiting", "import_bad_row"),
        ("room.csv", "Mist,fruiting,100", "Mist,fruiting,99", "import_bad_row"),
        ("daybook.csv", '""capacity"":100', '""capacity"":', "import_bad_row"),
        ("daybook.csv", "\n2,", "\n1,", "import_bad_row"),
        ("daybook.csv", ",room,1,", ",attic,1,", "import_bad_row"),
    ],
)
def test_a_bad_row_is_named_and_nothing_comes_in(
    tmp_path: Path, name: str, old: str, new: str, code: str
) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
    break_row(tmp_path / "out", name, old, new)
    with fresh_farm("sqlite", tmp_path) as again:
        with pytest.raises(Refused, match=code) as caught:
            import_farm(again, tmp_path / "out")
        assert caught.value.problems[0].facts["file"] == name
        with again.reading() as reading:
            assert reading.last_number() == 0
            assert reading.all(Room) == []


def test_another_encoding_is_named(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
        (tmp_path / "out" / "room.csv").write_bytes("id,name\n1,Küche\n".encode("latin-1"))
    with (
        fresh_farm("sqlite", tmp_path) as again,
        pytest.raises(Refused, match="import_bad_encoding"),
    ):
        import_farm(again, tmp_path / "out")


def test_a_farm_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
        with pytest.raises(Refused, match="import_not_empty"):
            import_farm(store, tmp_path / "out")


def test_a_catalogue_alone_begins_a_farm(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        lived_in(store)
        export_farm(store, tmp_path / "out")
    for path in (tmp_path / "out").glob("*.csv"):
        if path.name not in ("farm.csv", "room.csv", "species.csv", "strain.csv", "customer.csv"):
            path.unlink()
    with fresh_farm("sqlite", tmp_path) as again:
        import_farm(again, tmp_path / "out")
        assert check_farm(again).is_clean
        with again.reading() as reading:
            assert [room.name for room in reading.all(Room)] == ["Shelves", "Mist"]
            assert reading.all(Customer)[0].name == HOSTILE


def test_dates_can_be_shifted_so_that_the_last_day_is_today(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        begin_small(store)
        export_farm(store, tmp_path / "out")
    with fresh_farm("sqlite", tmp_path) as again:
        import_farm(again, tmp_path / "out", last_day=date(2031, 5, 4))
        with again.reading() as reading:
            assert {entry.happened_at[:10] for entry in reading.entries()} == {"2031-05-04"}
            assert reading.all(Bag)[0].stage_since.startswith("2031-05-04T")
        assert check_farm(again).is_clean


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    with fresh_farm("sqlite", tmp_path) as store:
        begin_small(store)
        with pytest.raises(NotWritten, match="file_not_written"):
            export_farm(store, tmp_path / "file")
