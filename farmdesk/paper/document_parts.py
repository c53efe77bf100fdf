"""A document as a value: what stands on the pages that are handed to somebody."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from farmdesk.paper.charts import Chart
from farmdesk.paper.tables import Table
from farmdesk.wording.formats import Formats

PageSize = Literal["A4", "letter"]


def paper_of(formats: Formats) -> PageSize:
    """The size of the paper that is printed on."""
    return "letter" if formats.paper == "letter" else "A4"


@dataclass(frozen=True)
class Heading:
    """A heading; it never stands alone at the foot of a page."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """Running text; a line end in it starts a new line."""

    text: str


@dataclass(frozen=True)
class Figure:
    """One figure of a strip: what it is, the figure itself, and a word about it."""

    label: str
    value: str
    detail: str = ""


@dataclass(frozen=True)
class Figures:
    """The few figures that matter, large, side by side."""

    items: Sequence[Figure]


@dataclass(frozen=True)
class Details:
    """Labels and values below each other, such as a number, a date and terms."""

    pairs: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Address:
    """Who it is from or for: a title such as 'Deliver to', and lines."""

    title: str
    lines: Sequence[str]


@dataclass(frozen=True)
class AddressPair:
    """Two addresses side by side."""

    left: Address
    right: Address


@dataclass(frozen=True)
class TotalsBox:
    """Sums at the right edge; the last line is the one to pay or to count."""

    lines: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Note:
    """Small print, or with `is_caution` a warning that stands out by its word and its rule."""

    text: str
    is_caution: bool = False


@dataclass(frozen=True)
class SignLines:
    """Lines to be filled in by hand, with what belongs on each below it."""

    labels: Sequence[str]


@dataclass(frozen=True)
class Columns:
    """Blocks side by side; below each other when they are too tall for a page."""

    parts: Sequence[Sequence[Block]]


@dataclass(frozen=True)
class PageBreak:
    """What follows starts on a new page."""


Block = (
    Heading
    | Paragraph
    | Figures
    | Details
    | AddressPair
    | TotalsBox
    | Note
    | SignLines
    | Columns
    | PageBreak
    | Table
    | Chart
)


@dataclass(frozen=True)
class Document:
    """A title, blocks, and a footer that stands on each page beside the page number."""

    title: str
    blocks: Sequence[Block]
    subtitle: str = ""
    footer: str = ""
    author: str = "Farmdesk"
    is_wide: bool = False
    """Whether the pages lie on their long side, for tables of many columns."""
    is_dense: bool = False
    """Whether rows of tables stand close together under light rules, to be read and not filled
    in; on `document_pages`. The writer by flowables sets all tables close."""
