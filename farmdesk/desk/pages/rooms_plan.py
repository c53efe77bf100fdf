"""The rooms drawn: shelves by batch and age, and the weeks ahead against their places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtWidgets import QHBoxLayout, QLabel

from farmdesk.desk.choosers import make_chooser
from farmdesk.desk.exporting import show_pages
from farmdesk.desk.keyed_actions import add_keyed_action
from farmdesk.desk.overflow import OverflowBar
from farmdesk.desk.pages.incubation_dialogs import MoveDialog
from farmdesk.desk.picture_card import PictureFrame
from farmdesk.desk.questions import ask_farm
from farmdesk.desk.tabbed_page import Part, TabbedPage
from farmdesk.domain.stages import COLONISED, INCUBATING
from farmdesk.errors import FarmdeskError
from farmdesk.paper.document_parts import paper_of
from farmdesk.paper.pictures import stack
from farmdesk.reports.catalogue import Catalogue, load_catalogue
from farmdesk.reports.room_pages import lay_out_rooms
from farmdesk.reports.room_picture import Place, draw_room, say_bags
from farmdesk.reports.room_shelves import RoomShelves, read_shelves
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.room_plan import bags_in_place
from farmdesk.wording.language import tr

_BETWEEN_MM = 8.0


@dataclass(frozen=True)
class PlanView:
    """The rooms, and the catalogue from which a move is chosen."""

    rooms: tuple[RoomShelves, ...]
    catalogue: Catalogue


def load_plan(farm: FarmStore) -> PlanView:
    """The rooms as they stand, read in a worker."""
    return PlanView(ask_farm(farm, read_shelves), load_catalogue(farm))


class PlanPart(Part):
    """Rooms one below another; arrows walk batches and weeks, Enter shows a batch."""

    title = tr("Plan")
    help_text = tr(
        "Each room with its shelves: a box is a batch, as long as it has bags there, the oldest at"
        " the left; ▲ and a thick line say that it incubates for longer than its species usually"
        " does. The places of a room are shared evenly among its shelves, so what is free on one is"
        " about right only. Beside it stand the weeks ahead: the fullest day of each week, filled"
        " for what stands now and outlined with what is planned, against the places (dashed)."
        " Arrows walk, Enter shows the batch, Ctrl+M moves its bags, Ctrl+P prints. Shelves are"
        " named at the room in the catalogue; scanning a shelf's card puts bags there."
    )

    def __init__(self, page: TabbedPage) -> None:
        super().__init__(page)
        self.view: PlanView | None = None
        self._wanted = ""
        self.room = make_chooser(tr("Room"), self._draw)
        label = QLabel(tr("&Room"))
        label.setBuddy(self.room)
        bar = OverflowBar(self)
        for title, key, act in (
            (tr("Move …"), "Ctrl+M", self.move_bags),
            (tr("Show the batch"), "Ctrl+B", self.show_batch),
        ):
            bar.add_action(add_keyed_action(self, title, key, act))
        head = QHBoxLayout()
        head.addWidget(label)
        head.addWidget(self.room)
        head.addWidget(bar, 1)
        self.body.addLayout(head)
        self.frame = PictureFrame(
            tr("Plan of the rooms"),
            tr(
                "There is no room yet in which something grows. Enter rooms in the catalogue"
                " (Ctrl+9), with their places and the names of their shelves."
            ),
        )
        self.frame.widened.connect(self._draw)
        self.frame.card.opened.connect(lambda _: self.show_batch())
        self.body.addWidget(self.frame, 1)

    # ---- what parts do

    def refresh(self) -> None:
        """Read the rooms again."""
        self.page.set_busy(tr("Reading …"))
        self.context.workplace.read_newest(
            load_plan, self.context.farm, then=self._show, failed=self._not_read
        )

    def show_subject(self, subject: str) -> None:
        """Show one room by its name, at the latest when the rooms were read."""
        self._wanted = subject
        if self.view is not None:
            self._show(self.view)

    def print_page(self) -> bool:
        """Show the plan as it will be on paper."""
        rooms = self.shown_rooms()
        if not rooms:
            return False
        self.context.workplace.read(
            lay_out_rooms, rooms, self.context.formats, paper_of(self.context.formats),
            then=partial(show_pages, self.context, "rooms", tr("Plan of the rooms")),
        )  # fmt: skip
        return True

    # ---- acts

    def shown_rooms(self) -> tuple[RoomShelves, ...]:
        """The rooms that are drawn."""
        wanted = self.room.currentData()
        rooms = self.view.rooms if self.view is not None else ()
        return tuple(one for one in rooms if wanted in (0, None, one.room.id))

    def show_batch(self) -> None:
        """Show the batch the arrows stand on where its bags are worked on."""
        place = self._place()
        if place is not None:
            grows = place.stage in (INCUBATING, COLONISED)
            self.context.go_to("incubation" if grows else "fruiting", place.name)

    def move_bags(self) -> None:
        """Move the bags the arrows stand on to another room or shelf."""
        place = self._place()
        if place is not None:
            self.context.workplace.read(
                ask_farm, self.context.farm, bags_in_place, room=place.room, shelf=place.shelf,
                batch=place.batch, stage=place.stage, then=partial(self._ask_where, place),
            )  # fmt: skip

    def _ask_where(self, place: Place, bags: Sequence[int]) -> None:
        if self.view is None:
            return
        if not bags:
            self.context.say(tr("Those bags were moved meanwhile."))
            return
        many = say_bags(len(bags), self.context.formats)
        title = tr("{bags} of {name}").format(bags=many, name=place.name)
        dialog = MoveDialog(self.context, self.view.catalogue, title=title, bags=bags)
        self.context.open_dialog(dialog)

    def _place(self) -> Place | None:
        spot = self.frame.card.spot
        if spot is not None and isinstance(spot.target, Place):
            return spot.target
        self.context.say(tr("Choose a batch first: arrows walk the plan."))
        return None

    # ---- inner workings

    def _show(self, view: PlanView) -> None:
        self.page.set_busy("")
        self.view = view
        chosen = self.room.currentData()
        self.room.clear()
        for title, key in [(tr("All rooms"), 0), *((one.room.name, one.room.id)
                                                   for one in view.rooms)]:  # fmt: skip
            self.room.addItem(title, key)
        wanted = self.room.findText(self._wanted) if self._wanted else -1
        self._wanted = ""
        self.room.setCurrentIndex(max(0, wanted if wanted >= 0 else self.room.findData(chosen)))
        self._draw()

    def _draw(self) -> None:
        if self.view is None:
            self.frame.words.clear()
            return
        rooms = self.shown_rooms()
        if not rooms:
            self.frame.show_picture(None)
            return
        wide = self.frame.room_mm()
        drawn = [draw_room(one, self.context.formats, width_mm=wide) for one in rooms]
        self.frame.show_picture(stack(drawn, gap_mm=_BETWEEN_MM))

    def _not_read(self, error: FarmdeskError) -> None:
        self.page.set_busy("")
        self.context.show_error(error)
