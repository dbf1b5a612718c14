"""All arithmetic, one topic a file, pure: records in, records out.

`figures.reckon(book)` gives what no batch changes; `weighing.weigh(…)` gives one batch.
"""
