"""Everything on a thing's page, read at once; and the same as pages of paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from farmdesk.domain.codes import group_code
from farmdesk.paper.pages import Page
from farmdesk.paper.pictures import Picture, as_page, scaled, stack
from farmdesk.paper.table_pages import EDGE_MM, SIZES_MM, lay_out_table
from farmdesk.paper.tables import Table
from farmdesk.paper.timelines import Timeline, draw_timeline
from farmdesk.reports.farm_terms import read_terms
from farmdesk.reports.life import Life, life_of, life_table
from farmdesk.reports.life_figures import Figure, life_figures
from farmdesk.reports.life_picture import read_timeline
from farmdesk.reports.relatives_picture import relatives_picture
from farmdesk.reports.trace import Trace, trace
from farmdesk.store.transaction import Reading
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

MOST = 400
"""So many relatives each way are shown; `farmdesk trace` writes them all."""


@dataclass(frozen=True)
class LifePage:
    """A thing with its figures, its life as a picture and in sentences, and its relatives."""

    trace: Trace
    life: Life
    figures: tuple[Figure, ...]
    timeline: Timeline | None
    family: Picture

    @property
    def code(self) -> str:
        """The code in groups as it stands on the label."""
        return group_code(self.trace.code) if self.trace.code.isdigit() else self.trace.code

    @property
    def title(self) -> str:
        """Its name, else its code."""
        return self.trace.name or self.code

    @property
    def is_whole(self) -> bool:
        """Whether all relatives are there."""
        return self.trace.back_is_whole and self.trace.forward_is_whole

    def say_figures(self) -> str:
        """The figures in one line."""
        return "  ·  ".join(f"{name}: {value}" for name, value in self.figures)


def read_life_page(reading: Reading, thing: int, *, now: str | None = None) -> LifePage:
    """The page of a scannable thing; raises NotFound when nothing is known of it."""
    found = trace(reading, thing, most=MOST)
    return LifePage(
        trace=found,
        life=life_of(reading, thing, now=now),
        figures=life_figures(reading, thing, now=now),
        timeline=read_timeline(reading, thing, read_terms(reading, now)),
        family=relatives_picture(reading, found, now=now),
    )


def life_table_of(page: LifePage) -> Table:
    """The sentences of a page as a table under its figures."""
    table = life_table(page.life)
    about = [tr("Code {code}").format(code=page.code)] if page.code != page.title else []
    figures = [f"{name}: {value}" for name, value in page.figures]
    return Table("life", page.title, table.columns, list(table.rows), [*about, *figures])


def lay_out_life(
    page: LifePage, formats: Formats, size: Literal["A4", "letter"]
) -> tuple[Page, ...]:
    """Pages: what happened under the figures, then the two pictures."""
    wide, tall = SIZES_MM[size]
    room = wide - 2 * EDGE_MM
    drawn = [scaled(page.family, min(1.0, room / page.family.width_mm))]
    if page.timeline is not None:
        drawn.insert(0, draw_timeline(page.timeline, formats, width_mm=room))
    pictures = stack(drawn, gap_mm=10.0)
    pictures = scaled(pictures, min(1.0, (tall - 2 * EDGE_MM) / max(1.0, pictures.height_mm)))
    return (
        *lay_out_table(life_table_of(page), formats, page=size),
        as_page(pictures, (wide, tall), edge_mm=EDGE_MM),
    )
