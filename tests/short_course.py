"""A course of four seconds: rough ground with one square edge, so that rides and searches take moments."""

SHORT = """format = 1
kind = "course"
name = "short"
length = "24 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "3 m"
to = "22 m"
class = "E"
seed = 3
[[event]]
kind = "square_edge"
at = "12 m"
height = "60 mm"
length = "300 mm"
"""
