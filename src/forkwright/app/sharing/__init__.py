"""Sharing on the shop's network: off unless asked for; then nothing is reached without signing in.

Read `install` (what sharing adds), `gate` (who passes), `sign_in` with its `cookies`, `links` (who needs no
account for a blind test); `rates` and `asker` hold back who asks too often, `upkeep` takes away what is over.
"""
