"""Every sentence that the program says about a book: written once, by name, with holes for its facts.

Enters: the name of a sentence and its facts (`says`), as data.  Leaves: the sentence, made when it is printed.
What a sentence looks like is written in the tables of this room, a family a file; the rooms below hand over names and
facts and never read a sentence again.
"""
