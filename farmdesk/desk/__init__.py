"""Windows, pages, the scan strip: the only room that knows Qt."""
