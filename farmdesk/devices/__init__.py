"""Bytes in and out: scanner, scale, label printer."""
