"""Loose leaves: what is printed for one batch and stands in no binder, with paper and style of its own.

Enters: shown records, the theme.  Leaves: leaves and the style they are printed in.
"""
