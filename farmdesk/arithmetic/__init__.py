"""The grower's sums on plain values."""
