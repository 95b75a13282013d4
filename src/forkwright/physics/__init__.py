"""physics: see docs/rooms.md."""
