"""tune: see docs/rooms.md."""
