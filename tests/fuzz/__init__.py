"""Fault hunting: texts spoiled at random, and what must hold whatever was done to them."""
