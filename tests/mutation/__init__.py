"""Mutation runs: one small mistake at a time put into the program, to see whether a test notices.

`points.py` finds where a mistake can be made, `runs.py` makes it in a process of its own and runs the tests that reach
the place, `__main__.py` draws the sample and reports.  Not part of the suite but for `test_mutation.py`.
"""
