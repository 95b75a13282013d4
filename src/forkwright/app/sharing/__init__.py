"""Sharing on the shop's network: off unless asked for; then nothing is reached without signing in."""
