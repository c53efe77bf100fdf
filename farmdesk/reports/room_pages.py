"""The plan of the rooms on paper."""

from __future__ import annotations

from farmdesk.paper.documents import PageSize
from farmdesk.paper.pages import Page
from farmdesk.paper.pictures import Picture, as_page, scaled, stack
from farmdesk.paper.table_pages import EDGE_MM, SIZES_MM
from farmdesk.reports.room_picture import draw_room
from farmdesk.reports.room_shelves import RoomShelves
from farmdesk.wording.formats import Formats

_GAP_MM = 9.0


def lay_out_rooms(
    rooms: tuple[RoomShelves, ...], formats: Formats, size: PageSize
) -> tuple[Page, ...]:
    """As many rooms on a page as fit; one that is taller than a page is made smaller."""
    wide, tall = SIZES_MM[size]
    room = wide - 2 * EDGE_MM
    high = tall - 2 * EDGE_MM
    pages: list[Page] = []
    here: list[Picture] = []
    for one in rooms:
        drawn = draw_room(one, formats, width_mm=room)
        drawn = scaled(drawn, min(1.0, high / drawn.height_mm))
        if here and stack([*here, drawn], gap_mm=_GAP_MM).height_mm > high:
            pages.append(as_page(stack(here, gap_mm=_GAP_MM), (wide, tall), edge_mm=EDGE_MM))
            here = []
        here.append(drawn)
    if here:
        pages.append(as_page(stack(here, gap_mm=_GAP_MM), (wide, tall), edge_mm=EDGE_MM))
    return tuple(pages)
