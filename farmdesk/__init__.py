"""Farmdesk: which bag is which, where it stands, what it came from and what it became."""
