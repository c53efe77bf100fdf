"""The places of the desk, one file each."""
