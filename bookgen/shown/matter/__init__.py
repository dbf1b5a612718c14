"""What a book is leafed through by: contents, indexes, what uses what, the ways at the foot of every page."""
