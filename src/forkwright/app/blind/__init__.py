"""Blind trials in the workbench: who may see what, by a link of their own for every person."""
