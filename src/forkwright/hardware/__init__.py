"""hardware: see docs/rooms.md."""
