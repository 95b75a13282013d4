"""Ride logs and bench traces for their pages: files brought in, what their columns mean, what they show."""
