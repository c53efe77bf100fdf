"""The desk's own colours and sizes: light, dark and high contrast, at any text size.

Contrast is held by a test to WCAG 2.2, success criteria 1.4.3 (text, 4.5 : 1; 7 : 1 in high
contrast, 1.4.6) and 1.4.11 (edges of controls and the focus mark, 3 : 1).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication

from farmdesk.settings.places import resource_path

TARGET_PX = 40
"""The least height of anything that is pressed."""
TEXT_PT = 11.0
ANSWER_PT = 28.0
SCALES = (0.9, 1.0, 1.25, 1.5, 2.0)


class Outcome(NamedTuple):
    """Colours of one scan outcome: its ground, its words, its shape."""

    ground: str
    text: str
    shape: str


class Colours(NamedTuple):
    """One scheme of colours, as '#rrggbb'."""

    name: str
    ground: str
    panel: str
    raised: str
    text: str
    muted: str
    edge: str
    hair: str
    accent: str
    on_accent: str
    chosen: str
    on_chosen: str
    focus: str
    warning: str
    outcomes: Mapping[str, Outcome]


LIGHT = Colours(
    name="light",
    ground="#eeebe4",
    panel="#fbfaf7",
    raised="#e3dfd5",
    text="#221f1b",
    muted="#5a544b",
    edge="#85796a",
    hair="#d3ccbf",
    accent="#7a3b12",
    on_accent="#ffffff",
    chosen="#f0d9c4",
    on_chosen="#3a1a05",
    focus="#b3460b",
    warning="#a01c1c",
    outcomes={
        "done": Outcome("#dcefdc", "#123f1c", "#1d6b2f"),
        "already": Outcome("#dde7f3", "#152f52", "#2a5a96"),
        "ask": Outcome("#fbe9b7", "#4a3300", "#8a5a00"),
        "refused": Outcome("#f8d9d4", "#5c0f0c", "#a81e18"),
        "unknown": Outcome("#e4dfea", "#352749", "#62488a"),
        "": Outcome("#fbfaf7", "#221f1b", "#5a544b"),
    },
)

DARK = Colours(
    name="dark",
    ground="#1c1a18",
    panel="#262320",
    raised="#36322d",
    text="#f1ece4",
    muted="#bdb4a6",
    edge="#8f8474",
    hair="#423d37",
    accent="#f0a868",
    on_accent="#2a1403",
    chosen="#553417",
    on_chosen="#ffe9d4",
    focus="#ffb570",
    warning="#ff9c90",
    outcomes={
        "done": Outcome("#16351d", "#d6f5da", "#7ed491"),
        "already": Outcome("#182c45", "#d9e8fb", "#8fbcf2"),
        "ask": Outcome("#423104", "#ffedb5", "#f5c542"),
        "refused": Outcome("#4a1613", "#ffe0db", "#ff9c90"),
        "unknown": Outcome("#2f2640", "#ece2fb", "#c3a8f0"),
        "": Outcome("#262320", "#f1ece4", "#bdb4a6"),
    },
)

_STARK = Outcome("#000000", "#ffffff", "#ffffff")
HIGH_CONTRAST = Colours(
    name="contrast",
    ground="#000000",
    panel="#000000",
    raised="#1a1a1a",
    text="#ffffff",
    muted="#e6e6e6",
    edge="#ffffff",
    hair="#9a9a9a",
    accent="#ffd60a",
    on_accent="#000000",
    chosen="#ffd60a",
    on_chosen="#000000",
    focus="#00e5ff",
    warning="#ffb3ab",
    outcomes={
        "done": Outcome("#000000", "#ffffff", "#6dff8b"),
        "already": Outcome("#000000", "#ffffff", "#8cc8ff"),
        "ask": Outcome("#000000", "#ffffff", "#ffd60a"),
        "refused": Outcome("#000000", "#ffffff", "#ff9a8f"),
        "unknown": Outcome("#000000", "#ffffff", "#dcc2ff"),
        "": _STARK,
    },
)

SCHEMES: Mapping[str, Colours] = {one.name: one for one in (LIGHT, DARK, HIGH_CONTRAST)}


class Theme(NamedTuple):
    """A scheme and a text scale (1.0 is ordinary, 2.0 is 200 %)."""

    scheme: str = "light"
    scale: float = 1.0

    @property
    def colours(self) -> Colours:
        """The colours of the scheme."""
        return SCHEMES[self.scheme]

    @property
    def text_pt(self) -> float:
        """Size of ordinary text in points."""
        return TEXT_PT * self.scale

    @property
    def answer_pt(self) -> float:
        """Size of the scan answer in points: readable at two metres, growing half as fast."""
        return ANSWER_PT * (1 + max(0.0, self.scale - 1) * 0.4)

    @property
    def target_px(self) -> int:
        """Least height of controls in pixels."""
        return round(TARGET_PX * max(1.0, 0.5 + self.scale / 2))


def apply_theme(app: QApplication, theme: Theme) -> None:
    """Give the whole program the theme's colours, font and style."""
    if app.style().name().lower() != "fusion":
        app.setStyle("Fusion")
    font = QFont(app.font())
    font.setPointSizeF(theme.text_pt)
    app.setFont(font)
    app.setPalette(make_palette(theme.colours))
    app.setStyleSheet(style_text(theme))


def make_palette(colours: Colours) -> QPalette:
    """The scheme as a Qt palette."""
    role = QPalette.ColorRole
    palette = QPalette()
    for part, colour in (
        (role.Window, colours.ground),
        (role.WindowText, colours.text),
        (role.Base, colours.panel),
        (role.AlternateBase, colours.ground),
        (role.Text, colours.text),
        (role.Button, colours.raised),
        (role.ButtonText, colours.text),
        (role.BrightText, colours.warning),
        (role.Highlight, colours.chosen),
        (role.HighlightedText, colours.on_chosen),
        (role.ToolTipBase, colours.raised),
        (role.ToolTipText, colours.text),
        (role.PlaceholderText, colours.muted),
        (role.Link, colours.accent),
        (role.Light, colours.panel),
        (role.Midlight, colours.hair),
        (role.Mid, colours.edge),
        (role.Dark, colours.edge),
        (role.Accent, colours.accent),
    ):
        palette.setColor(part, QColor(colour))
    for part in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, part, QColor(colours.muted))
    return palette


def style_text(theme: Theme) -> str:
    """The small style sheet: edges, focus marks and sizes of what is pressed."""
    c, tall = theme.colours, theme.target_px
    arrow = resource_path("icons", "arrows", f"down_{c.name}.svg").as_posix()
    tick = resource_path("icons", "arrows", f"tick_{c.name}.svg").as_posix()
    return f"""
QLineEdit, QPlainTextEdit, QComboBox, QDateEdit, QSpinBox {{
  background: {c.panel}; color: {c.text}; border: 1px solid {c.edge}; border-radius: 4px;
  padding: 2px 8px; selection-background-color: {c.accent}; selection-color: {c.on_accent};
  placeholder-text-color: {c.muted}; }}
QLineEdit, QComboBox {{ min-height: {tall - 8}px; }}
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus {{ border: 2px solid {c.focus};
  padding: 1px 7px; }}
QComboBox QLineEdit, QComboBox QLineEdit:focus {{ border: 0; padding: 0; min-height: 0; }}
QComboBox::drop-down {{ border: 0; width: {tall - 12}px; background: transparent; }}
QComboBox::down-arrow {{ image: url({arrow}); width: {tall // 3}px; height: {tall // 3}px; }}
QCheckBox {{ spacing: 8px; padding: 2px; border: 2px solid transparent; border-radius: 4px;
  min-height: {tall - 12}px; }}
QCheckBox:focus {{ border-color: {c.focus}; }}
QCheckBox::indicator, QListWidget::indicator {{ background: {c.panel};
  width: {tall // 2}px; height: {tall // 2}px;
  border: 2px solid {c.edge}; border-radius: 3px; }}
QCheckBox::indicator:checked, QListWidget::indicator:checked {{ image: url({tick}); }}
QTableView:focus, QListWidget:focus {{ border: 2px solid {c.focus}; }}
QTableView::item {{ padding: 0 6px; border: 0; }}
QTableView::item:selected {{ background: {c.chosen}; color: {c.on_chosen}; }}
QPushButton, QToolButton {{
  background: {c.raised}; color: {c.text}; border: 1px solid {c.edge}; border-radius: 4px;
  padding: 2px 14px; min-height: {tall - 8}px; }}
QToolButton::menu-indicator {{ image: none; }}
QPushButton:hover, QToolButton:hover {{ background: {c.hair}; color: {c.text}; }}
QPushButton:focus, QToolButton:focus {{ border: 2px solid {c.focus}; }}
QPushButton:default {{ background: {c.accent}; color: {c.on_accent}; }}
QPushButton:disabled, QToolButton:disabled {{ color: {c.muted}; border-color: {c.hair};
  background: {c.ground}; }}
QTableView, QListWidget {{ outline: 0; background: {c.panel}; border: 2px solid {c.hair};
  gridline-color: {c.hair}; alternate-background-color: {c.ground}; }}
QHeaderView::section {{ background: {c.raised}; color: {c.text}; border: 0;
  border-right: 1px solid {c.hair}; border-bottom: 1px solid {c.edge}; padding: 6px 8px; }}
QListWidget#places {{ border: 0; border-right: 1px solid {c.hair}; background: {c.ground};
  outline: 0; font-size: {theme.text_pt * 1.1:.1f}pt; }}
QListWidget#places::item {{ padding: 0 10px; border: 0; border-left: 5px solid {c.ground}; }}
QListWidget#places::item:selected {{ background: {c.chosen}; color: {c.on_chosen};
  border-left: 5px solid {c.accent}; }}
QListWidget#kinds::item {{ padding: 5px 8px; border: 0; border-left: 4px solid {c.panel}; }}
QListWidget#kinds::item:selected {{ background: {c.chosen}; color: {c.on_chosen};
  border-left: 4px solid {c.accent}; }}
QListWidget#places:focus {{ border: 2px solid {c.focus}; }}
QWidget#scan_side {{ background: {c.raised}; border-left: 1px solid {c.hair}; }}
QMenuBar {{ background: {c.ground}; border-bottom: 1px solid {c.hair}; }}
QMenuBar::item {{ padding: 6px 12px; background: transparent; }}
QMenu::item {{ padding: 7px 28px; }}
QMenu::item:selected, QMenuBar::item:selected {{ background: {c.chosen}; color: {c.on_chosen}; }}
QToolTip {{ background: {c.raised}; color: {c.text}; border: 1px solid {c.edge}; padding: 4px; }}
QLabel#title {{ font-size: {theme.text_pt * 1.5:.1f}pt; font-weight: 600; }}
QLabel#group {{ font-size: {theme.text_pt * 1.1:.1f}pt; font-weight: 600; }}
QLabel#muted {{ color: {c.muted}; }}
QLabel#problem {{ color: {c.warning}; font-weight: 600; }}
"""


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two '#rrggbb' colours by WCAG 2.2 (relative luminance, 1 to 21)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
