"""commands: see docs/rooms.md."""
