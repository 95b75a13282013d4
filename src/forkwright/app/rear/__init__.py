"""What the pages show of a rear shock, of the leverage it is reached through, and of both ends together.

`wheel` tells a shock at the rear wheel, `leverage` the curve it is reached through; `balance_questions` and
`balance_page` are the two ends of a bike at once; `shapes` describes the answers.
"""
