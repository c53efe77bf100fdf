"""A bag, crate, pack or card becomes a page."""
