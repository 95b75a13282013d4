"""Text with a unit and a tolerance, to and from SI numbers."""
