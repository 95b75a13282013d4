"""trial: see docs/rooms.md."""
