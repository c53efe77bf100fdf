"""The look of a document: faces, sizes, inks and the paragraph styles made of them."""

from __future__ import annotations

from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Paragraph

from farmdesk.paper import fonts

INK, MUTED = HexColor("#222222"), HexColor("#5A5A5A")
RULE, HAIR, SHADE = HexColor("#8A9186"), HexColor("#D5D9D2"), HexColor("#F1F3EF")
CAUTION = HexColor("#8A3B12")

_SIZES = {
    "title": 17.0,
    "subtitle": 9.5,
    "heading": 11.0,
    "body": 9.0,
    "cell": 8.5,
    "small": 7.5,
    "figure": 15.0,
}


@dataclass(frozen=True)
class Look:
    """The sizes and styles of every text by its role."""

    def size(self, role: str) -> float:
        """The size of a role's text in points."""
        return _SIZES[role]

    def style(
        self,
        role: str,
        *,
        is_bold: bool = False,
        is_right: bool = False,
        colour: Color = INK,
    ) -> ParagraphStyle:
        """A paragraph style; long words are split rather than run over."""
        size = self.size(role)
        return ParagraphStyle(
            name=role,
            fontName=fonts.face(is_bold).name,
            fontSize=size,
            leading=round(size * 1.32, 2),
            textColor=colour,
            alignment=TA_RIGHT if is_right else TA_LEFT,
            splitLongWords=True,
        )

    def text(
        self,
        text: str,
        role: str,
        *,
        is_bold: bool = False,
        is_right: bool = False,
        colour: Color = INK,
    ) -> Paragraph:
        """A paragraph of plain text; nothing in it is taken for markup."""
        marked = escape(settable(text)).replace("\n", "<br/>")
        style = self.style(role, is_bold=is_bold, is_right=is_right, colour=colour)
        return Paragraph(marked, style)

    def width(self, text: str, role: str, *, is_bold: bool = False) -> float:
        """The width of the longest line of a text in points."""
        face = fonts.face(is_bold).name
        lines = settable(text).split("\n")
        return max(float(stringWidth(line, face, self.size(role))) for line in lines)


def settable(text: str) -> str:
    """Text as the faces can set it, line by line, in the order its signs are drawn."""
    if text.isascii() and text.isprintable():
        return text
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(fonts.visual_text(fonts.clean_text(line)) for line in lines)
