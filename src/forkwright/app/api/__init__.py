"""JSON calls that several pages share."""
