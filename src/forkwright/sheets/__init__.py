"""sheets: see docs/rooms.md."""
