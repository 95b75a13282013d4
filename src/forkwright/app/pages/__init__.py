"""The pages of the workbench, one module each; a module with a `PAGE` and a `router` is in the navigation.

Each reads what is asked, calls the room that answers, and shows: on the bench `fork`, `damper`, `compare` and
`show`; for a set-up `match`, `recommend`, `balance` and `stages`; on the trail `ride` and `logs`; as proof
`uncertainty`, `traces` and `blind`; in the shop `jobs`.
"""
