"""What this computer and this person prefer, and where files live."""
