"""Help beside the work: the page in sight, its keys, and the terms and figures of the trade."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from farmdesk.wording.glossary import Term, find_terms
from farmdesk.wording.language import tr

Key = tuple[str, str]
"""What a key does, and the key as it is written on this computer."""


class HelpDialog(QDialog):
    """Stays open while one works; it follows from page to page. Esc closes it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Help"))
        self.setAccessibleName(tr("Help"))
        self.setModal(False)
        self._title, self._text = "", ""
        self._keys: Sequence[Key] = ()
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("Look for a term, such as flush"))
        self.line.setAccessibleName(tr("Look for a term or figure"))
        self.line.setClearButtonEnabled(True)
        self.line.textChanged.connect(lambda _: self._show())
        label = QLabel(tr("&Terms"))
        label.setBuddy(self.line)
        self.view = QTextBrowser()
        self.view.setAccessibleName(tr("Help text"))
        self.view.setTabChangesFocus(True)
        close = QPushButton(tr("Close (Esc)"))
        close.setAutoDefault(False)
        close.clicked.connect(self.close)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(close)
        head = QHBoxLayout()
        head.addWidget(label)
        head.addWidget(self.line, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.addLayout(head)
        column.addWidget(self.view, 1)
        column.addLayout(foot)
        letter = self.fontMetrics().averageCharWidth()
        self.resize(min(letter * 66, 900), 620)

    def show_page(self, title: str, text: str, keys: Sequence[Key]) -> None:
        """Explain a page; a term that is being looked for stays."""
        self._title, self._text, self._keys = title, text, keys
        self._show()

    def _show(self) -> None:
        words = self.line.text().strip()
        terms = find_terms(words)
        parts: list[str] = []
        if not words:
            parts += _page_parts(self._title, self._text, self._keys)
            parts.append(f"<h3>{escape(tr('Terms and figures'))}</h3>")
        elif not terms:
            parts.append(f"<p>{escape(tr('No term holds these words. Try fewer letters.'))}</p>")
        parts += _term_parts(terms)
        self.view.setHtml("".join(parts))


def keys_of(widgets: Iterable[QWidget]) -> list[Key]:
    """The keys of the actions of some widgets, each once."""
    found: dict[str, str] = {}
    for widget in widgets:
        for action in widget.actions():
            keys = _written(action)
            if keys:
                found.setdefault(keys, action.text().replace("&", ""))
    return [(title, keys) for keys, title in found.items()]


def _written(action: QAction) -> str:
    form = action.shortcut().SequenceFormat.NativeText
    return ", ".join(one.toString(form) for one in action.shortcuts())


def _page_parts(title: str, text: str, keys: Sequence[Key]) -> list[str]:
    paragraphs = [f"<p>{escape(one)}</p>" for one in text.split("\n") if one.strip()]
    parts = [f"<h2>{escape(title)}</h2>", *paragraphs]
    if keys:
        rows = (
            f"<tr><td style='padding-right:24px'><b>{escape(key)}</b></td>"
            f"<td>{escape(what)}</td></tr>"
            for what, key in keys
        )
        parts.append(f"<h3>{escape(tr('Keys'))}</h3><table>{''.join(rows)}</table>")
    return parts


def _term_parts(terms: Sequence[Term]) -> list[str]:
    return [f"<p><b>{escape(one.title)}</b><br>{escape(one.text)}</p>" for one in terms]
