"""The page "How the figures are found", and which figure of a formula page leads to which of its paragraphs.

`paragraphs` is the list to add to: heading, function, worked line.  The worked lines stand in `worked_formula`,
`worked_strengths`, `worked_bench` and `worked_made`, reckoned from the small book of `examples`; `anchors` is the table
of figures' names, `page` makes the shown records of `shown`.
"""
