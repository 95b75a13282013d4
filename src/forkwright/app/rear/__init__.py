"""What the pages show of a rear shock, of the leverage it is reached through, and of both ends together."""
