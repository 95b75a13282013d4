"""app: see docs/rooms.md."""
