"""`python -m bookgen`."""

from .cli import main

main()
