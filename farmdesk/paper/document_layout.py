"""Pages of a document: title, blocks, footer and 'page of pages', laid out by reportlab."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

from reportlab.lib.pagesizes import A4, LETTER, landscape
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer
from reportlab.platypus.flowables import HRFlowable

from farmdesk.paper.document_blocks import Setting, draw_blocks
from farmdesk.paper.document_parts import Document, PageSize
from farmdesk.paper.document_styles import MUTED, RULE, Look, settable
from farmdesk.wording.formats import Formats

_SIZES = {"A4": A4, "letter": LETTER}
_SIDE, _TOP, _FOOT = 18 * mm, 16 * mm, 18 * mm


@dataclass(frozen=True)
class LaidOut:
    """The file and how many pages it has."""

    pdf: bytes
    pages: int


def lay_out(document: Document, *, formats: Formats, page: PageSize) -> LaidOut:
    """Lay out a document; see `documents.write_document`."""
    look = Look()
    width, height = landscape(_SIZES[page]) if document.is_wide else _SIZES[page]
    stream = io.BytesIO()
    template = BaseDocTemplate(
        stream,
        pagesize=(width, height),
        title=document.title,
        author=document.author,
        subject=document.subtitle,
        creator="Farmdesk",
        invariant=1,
        pageCompression=1,
    )
    room = (width - 2 * _SIDE, height - _TOP - _FOOT)
    frame = Frame(_SIDE, _FOOT, *room, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    template.addPageTemplates(PageTemplate(frames=[frame], pagesize=(width, height)))
    setting = Setting(look, formats, *room)
    story = [*_opening(document, look), *draw_blocks(document.blocks, setting)]
    numbering = _numbering(document, look)
    template.build(story, canvasmaker=numbering)
    return LaidOut(stream.getvalue(), template.page)


def _opening(document: Document, look: Look) -> list[Flowable]:
    parts: list[Flowable] = [look.text(document.title, "title", is_bold=True)]
    if document.subtitle:
        parts += [Spacer(0, 2), look.text(document.subtitle, "subtitle", colour=MUTED)]
    rule = HRFlowable(width="100%", thickness=0.8, color=RULE, spaceBefore=0, spaceAfter=0)
    return [*parts, Spacer(0, 6), rule, Spacer(0, 10)]


def _numbering(document: Document, look: Look) -> Callable[..., Canvas]:
    """A canvas that knows how many pages there are before it writes the first one's foot."""

    class NumberedCanvas(Canvas):  # type: ignore[misc]
        def __init__(self, *args: object, **options: object) -> None:
            super().__init__(*args, **options)
            self._pages: list[dict[str, object]] = []

        def showPage(self) -> None:  # noqa: N802 - the writer's own name
            self._pages.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, state in enumerate(self._pages, start=1):
                self.__dict__.update(state)
                _draw_foot(self, document, look, number=number, of=len(self._pages))
                super().showPage()
            super().save()

    return NumberedCanvas


def _draw_foot(canvas: Canvas, document: Document, look: Look, *, number: int, of: int) -> None:
    width, y, size = canvas._pagesize[0], 9.5 * mm, look.size("small")
    style = look.style("small")
    canvas.setFont(style.fontName, size)
    canvas.setFillColor(MUTED)
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.4)
    canvas.line(_SIDE, y + size + 3, width - _SIDE, y + size + 3)
    count = f"{number} of {of}"
    canvas.drawRightString(width - _SIDE, y, count)
    words = document.footer if number == 1 else _joined(document.title, document.footer)
    room = width - 2 * _SIDE - look.width(count, "small") - 12
    canvas.drawString(_SIDE, y, settable(_cut(words.replace("\n", " · "), room, look)))


def _joined(title: str, footer: str) -> str:
    return f"{title} · {footer}" if footer else title


def _cut(text: str, room: float, look: Look) -> str:
    if look.width(text, "small") <= room:
        return text
    while text and look.width(text + "…", "small") > room:
        text = text[:-1]
    return text.rstrip() + "…"
