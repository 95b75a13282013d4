"""bench: see docs/rooms.md."""
