"""The Ride page's questions and answers: courses, two settings ridden over one of them, and small sweeps.

Read `questions` and `ground` (what is asked, and over what), `ride_job` (the answer), and what it is made of:
`figure` (the drawing), `score_words` and `sentences`. `warmth` makes the kernel ready beside the first look,
`apart` rides what is long in a process of its own, `sweep_job` rides a table of settings. `answer_shapes`
describes the answers.
"""
