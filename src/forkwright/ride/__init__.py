"""ride: see docs/rooms.md."""
