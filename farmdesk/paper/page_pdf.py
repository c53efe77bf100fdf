"""Pages become a PDF file: bars as whole modules in a scaled space, a page's text as one object."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

from farmdesk.errors import Refused, problem
from farmdesk.paper.fonts import face, visual_text
from farmdesk.paper.pages import Bars, Box, Line, Mark, Page, Photograph, Shape, TextRun
from farmdesk.paper.safe_files import write_safely

_PT = 72 / 25.4
_CHARACTER_MODULES = 11
_MOST_TEXTS = 5_000


def write_pages(pages: Iterable[Page], path: Path, *, title: str = "") -> int:
    """Write the pages as a PDF, whole or not at all; the number of pages.

    Raises NotWritten (`file_not_written`) when the disk says no, Refused (`no_pages`) when there
    is nothing to print.
    """
    with write_safely(path) as draft:
        canvas = _open_canvas(draft, title or Path(path).stem)
        texts = _Texts(canvas)
        count = 0
        for page in pages:
            _draw(canvas, page, texts)
            canvas.showPage()
            count += 1
        if not count:
            raise Refused(problem("no_pages"))
        canvas.save()
    return count


def _open_canvas(draft: Path, title: str) -> Any:
    from reportlab import rl_config  # noqa: PLC0415  slow to load: not at start
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415  slow to load: not at start

    rl_config.useA85 = 0
    canvas = Canvas(str(draft), pageCompression=1, initialFontName=face(False).name)
    canvas.setTitle(title)
    canvas.setCreator("Farmdesk")
    return canvas


def _draw(canvas: Any, page: Page, texts: _Texts) -> None:
    height = page.height_mm * _PT
    canvas.setPageSize((page.width_mm * _PT, height))
    literal = _shapes(page.marks, height)
    if literal:
        canvas.addLiteral(literal)
    for mark in page.marks:
        if isinstance(mark, Shape):
            _draw_shape(canvas, mark, height)
        elif isinstance(mark, Photograph):
            _draw_photograph(canvas, mark, height)
    lines = [
        f"1 0 0 1 {mark.x_mm * _PT:.3f} {height - mark.y_mm * _PT:.3f} Tm {texts.code(mark)}"
        for mark in page.marks
        if type(mark) is TextRun
    ]
    if lines:
        canvas.addLiteral(f"BT {' '.join(lines)} ET")


def _draw_shape(canvas: Any, shape: Shape, height: float) -> None:
    from reportlab.lib.colors import HexColor  # noqa: PLC0415  slow to load: not at start

    canvas.saveState()
    path = canvas.beginPath()
    (x, y), *others = shape.points
    path.moveTo(x * _PT, height - y * _PT)
    for x, y in others:
        path.lineTo(x * _PT, height - y * _PT)
    if shape.closed:
        path.close()
    if shape.fill:
        canvas.setFillColor(HexColor(shape.fill))
        canvas.setFillAlpha(shape.opacity)
    has_line = bool(shape.ink and shape.line_mm)
    if has_line:
        canvas.setStrokeColor(HexColor(shape.ink))
        canvas.setLineWidth(shape.line_mm * _PT)
        canvas.setDash([part * _PT for part in shape.dash_mm])
    canvas.drawPath(path, stroke=int(has_line), fill=int(bool(shape.fill)))
    canvas.restoreState()


def _draw_photograph(canvas: Any, mark: Photograph, height: float) -> None:
    from reportlab.lib.utils import ImageReader  # noqa: PLC0415  slow to load: not at start

    wide, tall = mark.width_mm * _PT, mark.height_mm * _PT
    picture = ImageReader(BytesIO(mark.data))
    canvas.drawImage(picture, mark.x_mm * _PT, height - mark.y_mm * _PT - tall, wide, tall)


class _Texts:
    """The drawing operators of each text, asked from reportlab once for a document.

    Most texts of a label stand on its neighbours too; only what is new costs the encoding.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._codes: dict[tuple[str, float, bool], str] = {}
        self._opening = len(canvas.beginText().getCode().removesuffix("ET"))

    def code(self, run: TextRun) -> str:
        """The operators that set the font and show the text, without a place."""
        key = run[2:]
        code = self._codes.get(key)
        if code is None:
            if len(self._codes) >= _MOST_TEXTS:
                self._codes.clear()
            code = self._codes[key] = self._encode(run)
        return code

    def _encode(self, run: TextRun) -> str:
        text = self._canvas.beginText()
        text.setFont(face(run.bold).name, run.size_pt)
        text.textOut(visual_text(run.text))
        code: str = text.getCode()
        return code[self._opening :].removesuffix(" ET")


def _shapes(marks: Sequence[Mark], height: float) -> str:
    """Everything but text, as drawing operators; filled boxes share one path."""
    parts: list[str] = []
    filled: list[str] = []
    for mark in marks:
        kind = type(mark)
        if kind is TextRun:
            continue
        if isinstance(mark, Bars):
            parts.append(_bars(mark, height))
        elif isinstance(mark, Line):
            parts.append(_line(mark, height))
        elif isinstance(mark, Shape):
            continue
        elif isinstance(mark, Box):
            if mark.line_mm:
                parts.append(_outline(mark, height))
            else:
                filled.append(_rectangle(mark, height, inset=0.0))
    if filled:
        parts.append(" ".join([*filled, "f"]))
    return " ".join(parts)


def _bars(bars: Bars, height: float) -> str:
    """Bars of whole modules; with fewer than five decimals in the scale some fail to decode."""
    tall = bars.height_mm * _PT
    x, y = bars.x_mm * _PT, height - bars.y_mm * _PT - tall
    scale = f"q {bars.module_mm * _PT:.5f} 0 0 {tall:.3f} {x:.4f} {y:.3f} cm "
    pattern = bars.pattern
    pieces = [
        _piece(pattern[at : at + _CHARACTER_MODULES], at)
        for at in range(0, len(pattern), _CHARACTER_MODULES)
    ]
    return f"{scale}{''.join(pieces)}f Q"


@lru_cache(20_000)
def _piece(modules: str, start: int) -> str:
    """One character of a symbol as rectangles, in modules; its bars never touch the next one's."""
    parts: list[str] = []
    at = modules.find("1")
    while at >= 0:
        end = modules.find("0", at)
        end = len(modules) if end < 0 else end
        parts.append(f"{start + at} 0 {end - at} 1 re ")
        at = modules.find("1", end)
    return "".join(parts)


def _line(line: Line, height: float) -> str:
    start = f"{line.x1_mm * _PT:.3f} {height - line.y1_mm * _PT:.3f} m"
    end = f"{line.x2_mm * _PT:.3f} {height - line.y2_mm * _PT:.3f} l"
    return f"{line.line_mm * _PT:.3f} w {start} {end} S"


def _outline(box: Box, height: float) -> str:
    return f"{box.line_mm * _PT:.3f} w {_rectangle(box, height, inset=box.line_mm / 2)} S"


def _rectangle(box: Box, height: float, *, inset: float) -> str:
    wide, tall = (box.width_mm - 2 * inset) * _PT, (box.height_mm - 2 * inset) * _PT
    x, y = (box.x_mm + inset) * _PT, height - (box.y_mm + inset) * _PT - tall
    return f"{x:.3f} {y:.3f} {wide:.3f} {tall:.3f} re"
