"""evidence: see docs/rooms.md."""
