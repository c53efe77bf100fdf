"""The farm's things and rules, on plain values."""
