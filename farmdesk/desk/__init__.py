"""Windows, pages, the scan strip: the only room that knows Qt."""

from __future__ import annotations

import builtins

import PySide6.QtCore  # noqa: F401 - brings the import statement that is put back below

# PySide's import statement reads the source of every module that is loaded after it, to see
# whether it uses `__feature__`. Nothing here does, and it took a tenth of the time to start.
builtins.__import__ = getattr(builtins, "__orig_import__", builtins.__import__)
