"""shop: see docs/rooms.md."""
