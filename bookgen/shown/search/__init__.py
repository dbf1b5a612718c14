"""Finding: the page to search with, and the page that says what can be made of what is at hand.

`terms` gathers what can be found of each formula and material, `search` writes it for the browser, `possible` says
what each formula takes; `shown` holds their records.
"""
