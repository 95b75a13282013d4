"""The Ride page's questions and answers: courses, two settings ridden over one of them, and small sweeps."""
